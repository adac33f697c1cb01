"""The estimate on paper: nothing of it is lost, it fits its sheet, and it reaches out to nobody."""

import builtins
import io
import itertools
import re
import threading
from collections.abc import Iterator
from decimal import Decimal
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

import pikepdf
import pytest
from sample import CONTINGENT, FIRM, OPTIONAL, SHA, Json, amounts, estimate, item, labour, part

from estimates.documents.pdf import PdfUnavailable, render_html, render_pdf, write_pdf
from shop import pdf as module


def numbers(pages: list[str]) -> set[str]:
    """Every number in the text, thousands separators taken out."""
    found = re.findall(r"(?<![\w.,])-?\d[\d,]*(?:\.\d+)?(?![\w])", "\n".join(pages))
    return {number.replace(",", "") for number in found}


def words(pages: list[str]) -> str:
    return " ".join(" ".join(pages).split())


@pytest.mark.parametrize("currency", ["EUR", "JPY", "KWD"])  # 2, 0 and 3 decimals in ISO 4217, list one
def test_every_amount_is_printed_with_all_its_decimals(currency, text_of):
    big = item("pump", "Replace pump", [labour("192.00", 120), part("pump", 12, "12345.67")])
    untaxed = item("core", "Exchange core", [part("deposit", 1, "40.00", tax=[])])  # what is taxed is less
    document = estimate(currency=currency, firm=[*FIRM, big, untaxed])

    shown = numbers(text_of(render_pdf(document, sha256=SHA)))

    assert len(set(amounts(document))) > 15
    assert set(amounts(document)) - shown == set()


def test_an_eighty_line_estimate_prints_every_line(text_of):
    works = [
        item(f"w{n}", f"Assembly {n}", [part(f"piece {n}-{m}", m + 1, f"{n}{m}.1{m}") for m in range(10)])
        for n in range(1, 9)
    ]
    pages = text_of(render_pdf(estimate(firm=works), sha256=SHA))

    for work in works:
        for line in work["lines"]:
            assert line["text"].capitalize() in words(pages)
    # A heading that went to the previous page alone would stand without its lines.
    assert not [page for page in pages if page.strip().splitlines()[-2].strip().startswith("Assembly")]


def test_an_item_torn_across_pages_repeats_its_title_and_headings(text_of):
    one = item("everything", "Strip the engine", [part(f"seal {n}", 1, "1.00") for n in range(60)])
    pages = text_of(render_pdf(estimate(firm=[one]), sha256=SHA))

    torn = [page for page in pages if "Seal " in page]
    assert len(torn) > 1
    assert all("Strip the engine" in page and "Quantity" in page for page in torn)


def test_an_estimate_of_one_line_prints(text_of):
    one = [item("belt", "Adjust belt", [labour("96.00", 60)])]
    text = words(
        text_of(render_pdf(estimate(firm=one, contingent=(), optional=(), readings=[], findings=[])))
    )

    assert "Adjust belt" in text
    assert "Only if found on opening" not in text
    assert "If you wish" not in text
    assert "What we found" not in text


def test_very_long_texts_lose_nothing_and_stay_on_the_sheet(text_of):
    sentence = "the harness was found brittle from heat along its whole length and "
    long = "BEGIN " + sentence * 60 + "FINIS"
    firm = [
        item("long", f"Title {sentence * 3}", [part(f"line {sentence * 4}", 1, "10.00")], why=[long, long])
    ]
    document = estimate(firm=firm, cautions=[long] * 2, contradictions=[long], demonstration=True)
    document["job"]["complaint"] = long
    document["workshop"]["terms"] = "\n\n".join([long] * 3)
    pages = text_of(render_pdf(document, sha256=SHA))

    text = words(pages)
    assert text.count("BEGIN") == text.count("FINIS") == 9
    assert "Title the harness" in text
    assert not [page for page in pages if len(page.split()) < 30]  # no sheet is left all but empty


def test_a_word_that_never_ends_is_broken_rather_than_cut(text_of):
    document = estimate()
    document["customer"]["name"] = "X" * 300
    text = words(text_of(render_pdf(document)))

    assert text.count("X") == 300 + text.count("FX")


@pytest.mark.parametrize(
    ("paper", "millimetres"),
    [("A4", (210, 297)), ("Letter", (215.9, 279.4))],  # ISO 216; ANSI/ASME Y14.1, size A
)
def test_the_sheet_is_the_one_asked_for(paper, millimetres, pango):
    with pikepdf.open(io.BytesIO(render_pdf(estimate(), paper=paper))) as opened:
        for page in opened.pages:
            box = [float(number) * 25.4 / 72 for number in page.mediabox]
            assert box == pytest.approx([0, 0, *millimetres], abs=0.1)


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="use 'A4' or 'Letter'"):
        render_html(estimate(), paper="A5")


def test_every_page_says_number_revision_page_and_checksum(printed, text_of):
    pages = text_of(printed)

    assert len(pages) > 1
    for number, page in enumerate(pages, 1):
        foot = words([page])
        assert "Estimate E-2041, revision 1" in foot
        assert f"Page {number} of {len(pages)}" in foot
        assert f"SHA-256 {SHA[:16]}…" in foot


def test_the_whole_checksum_stands_at_the_end(printed, text_of):
    assert SHA in words(text_of(printed)[-2:])


def test_demonstration_data_is_marked_on_every_page(text_of):
    pages = text_of(render_pdf(estimate(demonstration=True), sha256=SHA))

    assert len(pages) > 1
    assert all("Demonstration data, not for real work" in page for page in pages)


def test_a_real_workshops_estimate_carries_no_such_mark(printed, text_of):
    assert "Demonstration" not in words(text_of(printed))


def test_a_draft_says_so_on_every_page_and_cannot_be_signed(text_of):
    pages = text_of(render_pdf(estimate(), draft=True))

    assert all("Draft: not issued, not an offer" in page for page in pages)
    assert "Signature" not in words(pages)
    assert "Your decision" not in words(pages)


def test_each_open_item_can_be_ticked_yes_or_no(printed, text_of):
    text = words(text_of(printed)).split("Your decision")[1]

    assert "Extract a broken heater, cylinder 3 (only if found on opening) adds 181.80 EUR ☐ ☐" in text
    assert "Replace drive belt adds 70.14 EUR ☐ ☐" in text


def test_name_date_and_signature_stand_in_one_line(printed, boxes_of):
    lines = [box for box in boxes_of(printed)[-1] if box.word in ("Name", "Date", "Signature")]

    assert [box.word for box in lines] == ["Name", "Date", "Signature"]
    assert len({box.top for box in lines}) == 1


def test_the_three_totals_are_explained(printed, text_of):
    text = words(text_of(printed))
    totals = estimate()["totals"]

    for name in ("firm", "ceiling", "options"):
        assert text.count(f"{Decimal(totals[name]['with_tax']):,f} EUR") >= 1
    assert "Not above this without asking you again" in text


def test_labour_says_what_sharing_saves(printed, text_of):
    text = words(text_of(printed))

    assert "takes 120 min, billed as 2 hours at 96.00 EUR an hour: 192.00 EUR" in text
    assert "Item by item it would be 155 min; shared teardown is counted once, which saves 35 min." in text


def test_what_is_to_be_confirmed_is_worded(printed, text_of):
    text = words(text_of(printed))

    assert "To be confirmed: which part fits needs the engine serial number." in text
    assert "To be confirmed before parts are ordered: the engine serial number." in text
    assert "Engine serial not known" in text


def test_a_line_with_another_tax_than_the_rest_says_so(text_of):
    other = item("deposit", "Exchange pump", [part("deposit", 1, "40.00", tax=[])])
    text = words(text_of(render_pdf(estimate(firm=[*FIRM, other]))))

    assert text.count("No tax on this line") == 1


def test_readings_are_told_in_a_table_beside_the_picture(printed, text_of):
    text = words(text_of(printed))

    assert "0.84 ± 0.028 Ω" in text
    assert "open circuit: bad" in text
    assert "Test lamp at the relay output the engine lamp on" in text


def test_the_same_document_gives_the_same_bytes(printed):
    assert render_pdf(estimate(), sha256=SHA) == printed


def test_the_layout_has_nothing_to_complain_about(pango, caplog):
    module._prepared.cache_clear()
    with caplog.at_level("WARNING", logger="weasyprint"):
        write_pdf('<html lang="en"><title>t</title><style>p { colour: plum }</style><p>text')
        assert "colour" in caplog.text  # it would be heard
        caplog.clear()
        module._prepared.cache_clear()
        render_pdf(estimate(demonstration=True), sha256=SHA)

    assert caplog.text == ""


# The look of the sheet


def crowded() -> Json:
    """Long in every place where two things stand side by side."""
    document = estimate(demonstration=True)
    document["customer"] |= {
        "name": "A customer with a long name " * 4,
        "address": "\n".join("abcdefghijklm"),
    }
    document["unit"]["name"] = "a machine with a long name " * 9
    document["workshop"]["name"] = "A workshop with a long name " * 4
    document["readings"][0]["rows"][0]["where"] = "cylinder 1 of the left-hand bank"
    return document


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    "document",
    [
        estimate(),
        crowded(),
        estimate(currency="KWD", firm=[item("a", "Pump", [part("pump", 99, "1234567.125")])]),
    ],
    ids=["ordinary", "crowded", "large amounts"],
)
def test_no_words_lie_on_one_another_or_off_the_sheet(document, paper, boxes_of):
    width = {"A4": 595.3, "Letter": 612.0}[paper]
    margin = 18 / 25.4 * 72 - 1

    for page in boxes_of(render_pdf(document, sha256=SHA, paper=paper)):
        assert len(page) > 50
        assert [box.word for box in page if box.left < margin or box.right > width - margin] == []
        clashes = [
            (one.word, other.word)
            for one, other in itertools.combinations(page, 2)
            if min(one.right, other.right) - max(one.left, other.left) > 1
            # Line boxes of a font are taller than its letters: only more than half a line is a clash.
            and min(one.bottom, other.bottom) - max(one.top, other.top) > (one.bottom - one.top) / 2
        ]
        assert clashes == []


# Nothing is fetched


@pytest.fixture
def listener() -> Iterator[tuple[str, list[str]]]:
    """A web server of our own and the paths it was asked for."""
    asked: list[str] = []

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *args: Any) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    thread.join()
    server.server_close()


def test_no_host_is_asked_for_anything(pango, listener):
    address, asked = listener
    html = (
        f'<html lang="en"><title>t</title><link rel="stylesheet" href="{address}/sheet.css">'
        f'<link rel="attachment" href="{address}/attached"><style>@import "{address}/more.css";'
        f'p {{ background: url({address}/paper.png) }}</style><p>text<img alt="" src="{address}/image.png">'
    )

    assert write_pdf(html).startswith(b"%PDF")
    assert asked == []


def test_no_other_file_of_this_machine_is_read(pango, tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("a secret")
    html = f'<html lang="en"><title>t</title><link rel="attachment" href="{secret.as_uri()}"><p>text'

    with pikepdf.open(io.BytesIO(write_pdf(html))) as opened:
        assert not list(opened.attachments)


def test_a_way_out_of_the_static_folder_is_refused(pango):
    _, fetcher, _ = module._prepared("estimate")
    outside = (module.STATIC / "fonts" / ".." / ".." / ".." / "settings.py").as_uri()

    with pytest.raises(ValueError, match="is not fetched"):
        fetcher.fetch(outside)
    assert fetcher.fetch((module.STATIC / "mark.svg").as_uri()).read()


def test_what_people_typed_is_text_and_not_markup(text_of):
    document = estimate()
    document["job"]["complaint"] = '<img src="x"><b>bold</b> & "quoted"'
    document["customer"]["name"] = "</title><script>alert(1)</script>"

    assert '<img src="x"><b>bold</b> & "quoted"' in words(text_of(render_pdf(document)))


# Letters that are not there


def test_a_letter_that_no_font_has_is_refused_by_name(pango):
    document = estimate()
    document["customer"]["name"] = "Ottilie \U000f1234"  # private use: Unicode 16.0, 23.5 leaves it to nobody

    with pytest.raises(PdfUnavailable, match=r"no font on this machine has .* \(U\+F1234\); install a font"):
        render_pdf(document)


def test_greek_cyrillic_and_accents_are_in_our_own_font(pango):
    document = estimate()
    document["customer"]["name"] = "Ἀθηνᾶ Ивановна Łukasz Çağla Ñandú Ångström Ő"

    with pikepdf.open(io.BytesIO(render_pdf(document))) as opened:
        names = [str(found["/BaseFont"]) for found in opened.objects if _is_font(found)]
    assert names
    assert all("Source-Sans-3" in name for name in names)


def _is_font(found: Any) -> bool:
    return isinstance(found, pikepdf.Dictionary) and "/BaseFont" in found


def test_control_characters_are_left_out(text_of):
    document = estimate()
    document["customer"]["name"] = "Otti\x00lie\x07 Brand\x0creth\x9f"

    assert "Ottilie Brandreth" in words(text_of(render_pdf(document)))


# Without Pango


def test_missing_text_layout_names_the_packages_in_one_line(monkeypatch):
    real = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *args, **kwargs)

    module._weasyprint.cache_clear()
    monkeypatch.setattr(builtins, "__import__", without)
    try:
        with pytest.raises(PdfUnavailable) as raised:
            render_pdf(estimate())
    finally:
        module._weasyprint.cache_clear()

    assert "\n" not in str(raised.value)
    assert "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0" in str(raised.value)


def test_groups_of_the_sample_are_all_there():
    assert [len(estimate()["groups"][name]) for name in ("firm", "contingent", "optional")] == [
        len(FIRM), len(CONTINGENT), len(OPTIONAL),
    ]  # fmt: skip
