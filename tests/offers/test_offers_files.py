"""Reading the file itself: CSV in its dialects, workbooks as spreadsheets write them. No database."""

import csv
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from catalog.offers import csv_file, xlsx_file
from catalog.offers.amounts import Amounts
from catalog.offers.cells import day, whole_number
from catalog.offers.files import opened
from catalog.offers.number_cells import part_number, part_numbers
from catalog.offers.reading import Reading, kept_reading, parse_columns
from catalog.offers.xlsx_file import seen
from catalog.packs.faults import Wrong
from shop.rules.errors import Refused
from tests.offers.price_files import write_xlsx


def rows_in(path: Path, reading: Reading | None = None) -> list[list[object]]:
    with opened(path, path.name, reading or Reading()) as sheet:
        return [list(sheet.header), *(list(row) for chunk in sheet.chunks for row in chunk.records())]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_the_delimiter_is_found_out_with_or_without_a_byte_order_mark(tmp_path, delimiter, encoding):
    path = tmp_path / "prices.csv"
    path.write_text(f"number{delimiter}price\nGX 1{delimiter}12.50\n", encoding=encoding)
    assert rows_in(path) == [["number", "price"], ["GX 1", "12.50"]]


def test_the_delimiter_that_yields_the_columns_looked_for_wins_over_the_one_that_yields_more(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text("Art, old, new;Netto\nGX, 1, 2;5\n")
    assert rows_in(path, Reading(columns={"price": "Netto"}))[0] == ["Art, old, new", "Netto"]


def test_a_file_whose_delimiter_cannot_be_told_says_so(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text("a,b;c\n1,2;3\n")
    with pytest.raises(Refused, match="say the delimiter"):
        rows_in(path)
    assert rows_in(path, Reading(delimiter=";"))[0] == ["a,b", "c"]


def test_headers_may_stand_further_down(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text("Price list of March\n\nnumber,price\nGX 1,5\n")
    with opened(path, path.name, Reading(header_row=3)) as sheet:
        assert sheet.header == ("number", "price")
        assert list(next(sheet.chunks).numbers) == [4]


cells = st.text(st.sampled_from("ab1 .;'\u00e9\u2028"), max_size=4)
quoted = st.text(st.sampled_from('ab,"\n\r'), max_size=4)


@given(
    st.lists(st.lists(cells, min_size=1, max_size=4), max_size=5),
    st.lists(st.lists(quoted, min_size=1, max_size=4), max_size=3),
    st.sampled_from(["\n", "\r\n"]),
    st.integers(1, 30),
)
def test_a_csv_is_read_as_the_csv_module_reads_it(tmp_path_factory, plain, strange, end, block):
    """Block by block while there are no quotes, with a reader that knows them from then on."""
    path = tmp_path_factory.getbasetemp() / "any.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator=end).writerows([["number", "price"], *plain, *strange])
    with path.open(encoding="utf-8", newline="") as file:
        expected = list(csv.reader(file, strict=True))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(csv_file, "BLOCK", block)
        assert rows_in(path, Reading(delimiter=",")) == expected


def test_a_row_too_short_and_one_too_long_are_not_taken_for_two_good_ones(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text("number,price\nGX 1\nGX 2,5,GX 3\nGX 4,6\n")
    assert rows_in(path)[1:] == [["GX 1"], ["GX 2", "5", "GX 3"], ["GX 4", "6"]]


def test_a_file_that_is_not_utf_8_names_the_line(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_bytes(b"number,price\nGX 1,5\nGX \xe9,6\n")
    with pytest.raises(Refused, match=r"prices\.csv, line 3: is not UTF-8"):
        rows_in(path)


def test_a_quote_left_open_names_the_line(tmp_path):
    path = tmp_path / "prices.csv"
    path.write_text('number,price\nGX 1,5\n"GX 2,6\n')
    with pytest.raises(Refused, match=r"prices\.csv, line \d+: cannot be read"):
        rows_in(path)


@pytest.mark.parametrize("start", [b"\xff\xfen\0", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"PK\x03\x04 no zip"])
def test_a_file_of_another_kind_says_what_to_save_it_as(tmp_path, start):
    path = tmp_path / "prices.csv"
    path.write_bytes(start)
    with pytest.raises(Refused, match="save it"):
        rows_in(path)


def test_a_missing_file_is_told(tmp_path):
    with pytest.raises(Refused, match="cannot be opened"):
        rows_in(tmp_path / "none.csv")


def test_a_workbook_gives_texts_numbers_and_days_as_a_person_sees_them(tmp_path):
    path = write_xlsx(
        tmp_path / "prices.xlsx",
        [
            ["number", "price", "valid_from", "pack"],
            ["GX 1", 12.3, date(2026, 3, 1), 4],
            [1042, 0.1 + 0.2, datetime(2026, 3, 1, 8, 30), None],  # noqa: DTZ001
            ["GX 3", "1234,50"],
        ],
    )
    assert rows_in(path)[1:] == [
        ["GX 1", Decimal("12.3"), "2026-03-01", Decimal(4)],
        [Decimal(1042), Decimal("0.3"), "2026-03-01T08:30:00", ""],
        ["GX 3", "1234,50", "", ""],
    ]


@given(st.decimals("0", "99999999", places=4))
def test_every_price_of_four_places_comes_back_from_a_spreadsheet_s_binary_number(price):
    assert seen(float(price)) == price


@given(st.decimals("0", "999999", places=2), st.integers(1, 40))
def test_the_dust_of_binary_arithmetic_is_not_seen(price, times):
    assert seen(float(price) * times) == price * times


def test_a_formula_is_refused_where_it_is_needed(tmp_path):
    path = write_xlsx(tmp_path / "prices.xlsx", [["number", "price"], ["GX 1", "=A1*2"]])
    cell = rows_in(path)[1][1]
    with pytest.raises(Wrong, match="is a formula"):
        Amounts("", None).reader("price", required=True)(cell)


def test_a_workbook_with_several_sheets_needs_one_named(tmp_path):
    path = write_xlsx(tmp_path / "prices.xlsx", [["number", "price"]], sheets={"Terms": None})
    with pytest.raises(Refused, match="say which: Sheet, Terms"):
        rows_in(path)
    assert rows_in(path, Reading(sheet="Sheet")) == [["number", "price"]]
    with pytest.raises(Refused, match="has no sheet 'Prices'"):
        rows_in(path, Reading(sheet="Prices"))


def test_a_workbook_that_unpacks_too_far_is_refused_before_it_is_opened(tmp_path, monkeypatch):
    path = write_xlsx(tmp_path / "prices.xlsx", [["number", "price"], *[["GX", 1]] * 1000])
    load_workbook(path)  # it is a good one
    monkeypatch.setattr(xlsx_file, "LARGEST_UNPACKED", 10_000)
    with pytest.raises(Refused, match="unpacks to more"):
        rows_in(path)


def test_a_file_has_one_decimal_sign():
    read = Amounts("", None).reader("price", required=True)
    assert read("12,50") == "125000"
    with pytest.raises(Wrong, match="has a decimal point, the rest of this file a comma"):
        read("12.50")


@pytest.mark.parametrize(
    ("cell", "staged"),
    [("12.5", "125000"), ("0.0001", "1"), (Decimal("1.234"), "12340"), ("7", "70000"), ("", None)],
)
def test_amounts_become_whole_ten_thousandths(cell, staged):
    assert Amounts("", None).reader("deposit", required=False)(cell) == staged


def test_days_are_read_year_first_or_with_dots_day_first():
    assert day("valid_from", None)("2026-06-30") == day("valid_from", None)("30.6.2026") == "2026-06-30"


def test_a_workbook_s_whole_number_is_a_number_of_pieces_and_a_part_number():
    assert whole_number("pack", None)(Decimal("5.0")) == "5"
    assert part_number(None)(Decimal("1042.0")) == "1042"
    with pytest.raises(Wrong, match=r"is kept as the number 44\.12"):
        part_number(None)(Decimal("44.12"))


@given(st.lists(st.text(max_size=8), min_size=1, max_size=6))
def test_a_column_of_part_numbers_reads_like_its_cells_one_by_one(cells):
    def each() -> list[str | None]:
        return [part_number(None)(cell) for cell in cells]

    try:
        expected = each()
    except Wrong:
        with pytest.raises(Wrong):
            part_numbers(None)(cells)
        return
    assert part_numbers(None)(cells) == expected


def test_columns_are_said_as_our_name_and_their_header():
    said = parse_columns('price="Netto, EUR", number=Art.Nr,price_from_10=ab 10')
    assert said == {"price": "Netto, EUR", "number": "Art.Nr", "price_from_10": "ab 10"}
    assert parse_columns("") == {}
    assert parse_columns("pack=") == {"pack": ""}


@pytest.mark.parametrize("text", ["price", "cost=Netto", "price=A,price=B", "price=A,Netto", 'price="A"B'])
def test_columns_that_are_not_ours_are_refused(text):
    with pytest.raises(Refused):
        parse_columns(text)


@pytest.mark.parametrize(
    "raw", [None, [], {"columns": 3, "header_row": "x", "decimal": "dot"}, {"delimiter": "|"}]
)
def test_what_was_kept_by_hand_and_cannot_be_used_is_left_out(raw):
    assert kept_reading(raw) == Reading()
