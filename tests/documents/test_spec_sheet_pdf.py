"""The spec sheet on paper: nothing of it is lost, and a reader's software finds its way (ISO 14289-1)."""

import io
from datetime import date
from decimal import Decimal
from typing import Any

import pikepdf
import pytest
from test_documents_accessible import kinds

from catalog.documents.sheet_pdf import sheet_pdf
from catalog.documents.words import CAUTION, DEMONSTRATION, Json, stated
from catalog.spec_cards import SpecCard

TYPES = ("glow plug", "rocker-cover screw", "relay")


def card(number: int, **given: Any) -> SpecCard:
    fields = {
        "id": number, "code": "tightening-torque", "name": "tightening torque", "unit": "N.m",
        "symbol": "N·m", "minimum": Decimal(f"{number}.10"), "nominal": None,
        "maximum": Decimal(f"{number}.90"), "text": "", "words": f"thread {number} clean",
        "temperature_min": Decimal(15), "temperature_max": None, "source_code": "book",
        "source": "Service book issue 4", "verified": number % 2 == 0, "type_code": "screw",
        "part_type": "screw", "part": "", "family_code": "nk4", "of": "NK4",
    }  # fmt: skip
    return SpecCard(**{**fields, **given})


def document(each: int = 3, *, demonstration: str = DEMONSTRATION) -> Json:
    cards = [card(number) for number in range(100, 100 + each * len(TYPES))]
    return {
        "demonstration": demonstration, "caution": CAUTION, "values": len(cards),
        "not_verified": sum(not one.verified for one in cards),
        "sources": [{"code": "book", "title": "Service book issue 4"}],
        "family": {
            "code": "nk4", "name": "Norrik NK4", "maker_name": "Norrik Motorworks", "description": "In line.",
            "layout_words": "in line", "cylinders": 4, "voltage": "12", "numbering_words": "DIN 73021",
            "serial_scheme": None,
        },
        "part_types": [
            {"code": name, "name": name, "values": [stated(one, True) for one in cards[index :: len(TYPES)]]}
            for index, name in enumerate(TYPES)
        ],
    }  # fmt: skip


def printed(of: Json, **how: Any) -> bytes:
    return sheet_pdf(of, on=date(2026, 11, 25), workshop="Sallowfield Engine Works", **how)


@pytest.fixture(scope="module")
def ordinary(pango: None) -> bytes:
    return printed(document(1))


def test_every_value_is_printed_in_both_units_with_its_standing(text_of, pango):
    of = document(40)
    pages = text_of(printed(of))
    text = " ".join(" ".join(pages).split())
    assert len(pages) > 3
    for kind in of["part_types"]:
        for value in kind["values"]:
            assert value["figure"] in text
            assert value["also"]["figure"] in text
            assert value["condition"] in text
    assert text.count("1, verified") == 60
    assert text.count("1, not verified") == 60
    assert "60 of the 120 values below are not verified" in text
    assert "Service book issue 4" in text


def test_the_caution_the_day_and_the_mark_of_demonstration_data_are_printed(text_of, pango):
    pages = text_of(printed(document(40)))
    assert " ".join(CAUTION.split()[:8]) in " ".join(pages[0].split())
    assert all(DEMONSTRATION in page for page in pages)
    assert all("Printed on 25 November 2026" in page for page in pages)
    plain = text_of(printed(document(demonstration="")))
    assert not any("not for real work" in page for page in plain)


def test_it_is_tagged_titled_and_in_our_own_font(ordinary):
    with pikepdf.open(io.BytesIO(ordinary)) as pdf:
        with pdf.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"  # ISO 14289-1, 5
            assert metadata["dc:title"] == "Spec sheet Norrik NK4, Sallowfield Engine Works"  # 7.1
        assert bool(pdf.Root["/MarkInfo"]["/Marked"]) is True
        assert str(pdf.Root["/Lang"]) == "en-GB"  # 7.2
        found = kinds(pdf)
        assert found.count("/Table") == 2 + len(TYPES)  # 7.5: what the engine is, the values, the sources
        assert found.count("/H1") == 1  # 7.4.2
        names = {
            str(found["/BaseFont"])
            for found in pdf.objects
            if isinstance(found, pikepdf.Dictionary) and "/BaseFont" in found
        }
        assert all("Source-Sans-3" in name for name in names)


@pytest.mark.parametrize(
    ("paper", "size"),
    [("A4", (595, 842)), ("Letter", (612, 792))],  # ISO 216 and ANSI Y14.1, in points
)
def test_it_comes_on_the_workshops_paper(pango, paper, size):
    with pikepdf.open(io.BytesIO(printed(document(), paper=paper))) as pdf:
        box = pdf.pages[0].mediabox
        assert tuple(round(float(edge)) for edge in box[2:]) == size


def test_the_same_document_gives_the_same_bytes(ordinary):
    assert printed(document(1)) == ordinary


def test_an_unknown_paper_is_a_mistake():
    with pytest.raises(ValueError, match="A5"):
        printed(document(), paper="A5")
