"""PDF/UA-1 (ISO 14289-1:2014), by the machine checks of the Matterhorn Protocol 1.1 (PDF Association, 2021).

Each test names its checkpoint. The file is read with pikepdf, which shares no code with what wrote it.
"""

import io
import itertools
from collections.abc import Iterator
from typing import Any

import pikepdf
import pytest
from sample import SHA, estimate

from estimates.documents.pdf import render_pdf


@pytest.fixture(scope="module")
def pdf(printed: bytes) -> Iterator[pikepdf.Pdf]:
    with pikepdf.open(io.BytesIO(printed)) as opened:
        yield opened


def elements(node: Any, parent: Any = None) -> Iterator[tuple[Any, Any]]:
    """Every structure element under `node` with its parent, in reading order."""
    kids = node.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
            yield kid, node
            yield from elements(kid)


def kinds(pdf: pikepdf.Pdf) -> list[str]:
    return [str(element["/S"]) for element, _ in elements(pdf.Root["/StructTreeRoot"])]


def fonts(pdf: pikepdf.Pdf) -> list[Any]:
    return [
        found
        for found in pdf.objects
        if isinstance(found, pikepdf.Dictionary) and found.get("/Type") == "/Font"
    ]


def instructions(pdf: pikepdf.Pdf) -> Iterator[tuple[list[Any], str]]:
    """Of every page and of every form drawn on one."""
    for page in pdf.pages:
        streams = [page, *(form for form in _forms(page.get("/Resources", {})))]
        for stream in streams:
            for operands, operator in pikepdf.parse_content_stream(stream):
                yield list(operands), str(operator)


def _forms(resources: Any) -> Iterator[Any]:
    for form in dict(resources.get("/XObject", {})).values():
        if form.get("/Subtype") == "/Form":
            yield form
            yield from _forms(form.get("/Resources", {}))


def test_it_says_that_it_is_pdf_ua_1(pdf):
    with pdf.open_metadata() as metadata:  # checkpoint 06-002, ISO 14289-1, 5
        assert metadata["pdfuaid:part"] == "1"


def test_it_has_a_title_of_its_own(pdf):
    with pdf.open_metadata() as metadata:  # 06-003, 07-001 and 07-002
        assert metadata["dc:title"] == "Estimate E-2041, revision 1, Sallowfield Engine Works"
    assert bool(pdf.Root["/ViewerPreferences"]["/DisplayDocTitle"]) is True


def test_it_is_marked_as_tagged_and_has_a_structure(pdf):
    assert bool(pdf.Root["/MarkInfo"]["/Marked"]) is True  # ISO 14289-1, 7.1
    assert pdf.Root["/MarkInfo"].get("/Suspects", False) is False
    assert len(kinds(pdf)) > 100  # 01-005 needs a tree at all


def test_it_says_its_language(pdf):
    assert str(pdf.Root["/Lang"]) == "en-GB"  # 11-006


def test_everything_drawn_is_tagged_or_an_artifact(pdf):
    # 01-005: content marked neither as artifact nor as real content.
    shows = {"Tj", "TJ", "'", '"', "f", "F", "f*", "S", "s", "B", "B*", "b", "b*", "Do", "sh"}
    for page in pdf.pages:
        depth, outside = 0, []
        for _, operator in pikepdf.parse_content_stream(page):
            name = str(operator)
            depth += (name in ("BMC", "BDC")) - (name == "EMC")
            if name in shows and depth == 0:
                outside.append(name)
        assert outside == []
        assert depth == 0


def test_structure_elements_are_of_standard_types(pdf):
    # 02-001; ISO 32000-1, 14.8.4. What is not a standard type would need a role map.
    standard = {
        "Document", "Part", "Art", "Sect", "Div", "BlockQuote", "Caption", "NonStruct", "P", "H1", "H2", "H3",
        "L", "LI", "Lbl", "LBody", "Table", "TR", "TH", "TD", "THead", "TBody", "TFoot", "Span", "Figure",
    }  # fmt: skip
    assert {kind.lstrip("/") for kind in kinds(pdf)} <= standard


def test_headings_begin_at_one_and_skip_no_level(pdf):
    levels = [int(kind[2:]) for kind in kinds(pdf) if kind in ("/H1", "/H2", "/H3", "/H4")]

    assert levels[0] == 1  # 14-002
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))  # 14-003


def test_the_picture_has_words_in_its_place(pdf):
    figures = [one for one, _ in elements(pdf.Root["/StructTreeRoot"]) if one["/S"] == "/Figure"]

    assert len(figures) == 1
    assert str(figures[0]["/Alt"]).startswith("Heater resistance at the connector: 8 positions")  # 13-004


def test_tables_are_built_as_the_standard_says(pdf):
    # ISO 32000-1, 14.8.4.3.4; Matterhorn 09-004.
    allowed = {
        "/TR": {"/Table", "/THead", "/TBody", "/TFoot"},
        "/TH": {"/TR"},
        "/TD": {"/TR"},
        "/THead": {"/Table"},
        "/TBody": {"/Table"},
        "/LI": {"/L"},  # 09-005
        "/LBody": {"/LI"},
        "/Lbl": {"/LI"},
    }
    found = [
        (str(one["/S"]), str(parent.get("/S", ""))) for one, parent in elements(pdf.Root["/StructTreeRoot"])
    ]

    assert [(kind, parent) for kind, parent in found if kind in allowed and parent not in allowed[kind]] == []


def test_table_rows_are_equally_wide(pdf):
    # ISO 14289-1, 7.2: rows of a table span the same number of columns (veraPDF 7.2-42).
    for table in (one for one, _ in elements(pdf.Root["/StructTreeRoot"]) if one["/S"] == "/Table"):
        widths = set()
        for one, _ in elements(table):
            if one["/S"] == "/TR":
                cells = [cell for cell, parent in elements(one) if parent == one]
                widths.add(sum(int(cell.get("/A", {}).get("/ColSpan", 1)) for cell in cells))
        assert len(widths) == 1


def test_every_table_cell_names_its_headings(pdf):
    # 15-003: headers by scope or by id; each id has to be that of a TH of the same table.
    for table in (one for one, _ in elements(pdf.Root["/StructTreeRoot"]) if one["/S"] == "/Table"):
        ids = {str(one["/ID"]) for one, _ in elements(table) if one["/S"] == "/TH"}
        for cell in (one for one, _ in elements(table) if one["/S"] == "/TD"):
            named = [str(name) for name in cell["/A"]["/Headers"]]
            assert named
            assert set(named) <= ids


def test_every_font_is_ours_and_embedded(pdf):
    # 31-009: fonts used for rendering are embedded. Subset names end in the name of the font.
    descendants = [font for font in fonts(pdf) if "/FontDescriptor" in font]

    assert descendants
    for font in descendants:
        assert "Source-Sans-3" in str(font["/BaseFont"])
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"].keys())


def test_every_font_maps_to_characters(pdf):
    composite = [font for font in fonts(pdf) if font.get("/Subtype") == "/Type0"]

    assert composite
    assert all("/ToUnicode" in font for font in composite)  # 31-027


def test_no_glyph_is_missing(pdf):
    # 31-030: a reference to .notdef. In the two-byte codes of Identity-H that is 0; another encoding could
    # lead there from any code (ISO 32000-1, 9.7.5.2).
    assert {str(font["/Encoding"]) for font in fonts(pdf) if font.get("/Subtype") == "/Type0"} == {
        "/Identity-H"
    }
    codes = [
        text[at : at + 2]
        for operands, operator in instructions(pdf)
        if operator in ("Tj", "TJ")
        for text in _strings(operands)
        for at in range(0, len(text), 2)
    ]

    assert len(codes) > 1000
    assert b"\0\0" not in codes


def _strings(operands: list[Any]) -> Iterator[bytes]:
    for operand in operands:
        if isinstance(operand, pikepdf.Array):
            yield from _strings(list(operand))
        elif isinstance(operand, pikepdf.String):
            yield bytes(operand)


def test_pages_follow_the_structure_where_they_hold_annotations(pdf):
    # 28-009: Tabs is S on pages with annotations; ours hold none to begin with.
    for page in pdf.pages:
        assert page.get("/Tabs", None) == "/S" or not page.get("/Annots", [])


@pytest.mark.parametrize("case", ["draft", "letter", "long"])
def test_other_estimates_keep_the_title_language_and_fonts(pango, case):
    document = estimate(demonstration=True)
    if case == "long":
        document = estimate(cautions=["Hot parts. " * 300], contradictions=["Readings differ. " * 80])
    printed = render_pdf(
        document, sha256=SHA, draft=case == "draft", paper="Letter" if case == "letter" else "A4"
    )

    with pikepdf.open(io.BytesIO(printed)) as pdf:
        test_it_says_that_it_is_pdf_ua_1(pdf)
        test_it_says_its_language(pdf)
        test_everything_drawn_is_tagged_or_an_artifact(pdf)
        test_tables_are_built_as_the_standard_says(pdf)
        test_every_table_cell_names_its_headings(pdf)
        test_every_font_is_ours_and_embedded(pdf)
        test_no_glyph_is_missing(pdf)
