"""A price file saved as a workbook (.xlsx), read row by row without opening it whole.

Formulas are not worked out: a cell that holds one is refused where it is needed. A spreadsheet keeps every
number in binary; what a person sees is its shortest decimal form, at most 15 digits of it, and that is what
is read: 12.3, never 12.300000000000000710.
"""

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from catalog.offers.files import AT_ONCE, MEGABYTE, MOST_ROWS, Cell, Chunk, Sheet, too_many_rows
from catalog.offers.reading import Reading
from shop.rules.errors import Refused

LARGEST = 64 * MEGABYTE
LARGEST_UNPACKED = 2_000 * MEGABYTE
LARGEST_TEXTS = 300 * MEGABYTE  # the texts of all cells are held in memory
SEEN_DIGITS = 15


@contextmanager
def xlsx_sheet(path: Path, name: str, reading: Reading) -> Iterator[Sheet]:
    _check_size(path, name)
    try:
        book = load_workbook(path, read_only=True, data_only=False, keep_links=False)
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, OSError) as error:
        raise Refused.single(name, f"is no workbook that can be read ({error})", "save it anew") from None
    try:
        sheet = _chosen(book, name, reading)
        sheet.reset_dimensions()
        rows = sheet.iter_rows(values_only=True)
        header: tuple[Any, ...] = ()
        for header in islice(rows, reading.header_row):  # noqa: B007
            pass
        texts = [str(cell).strip() if cell is not None else "" for cell in header]
        while texts and not texts[-1]:
            texts.pop()
        if not texts:
            raise Refused.single(
                f"{name}, row {reading.header_row}", "has no headers", "say in which row the headers stand"
            )
        yield Sheet(tuple(texts), _chunks(name, rows, reading.header_row, len(texts)))
    finally:
        book.close()


def _check_size(path: Path, name: str) -> None:
    """A small file can unpack to a huge one: look at what it says of itself first."""
    if path.stat().st_size > LARGEST:
        raise Refused.single(name, f"is larger than {LARGEST // MEGABYTE} MB", "save it as CSV UTF-8")
    try:
        with zipfile.ZipFile(path) as packed:
            sizes = {item.filename: item.file_size for item in packed.infolist()}
    except zipfile.BadZipFile:
        raise Refused.single(name, "is no workbook that can be read", "save it anew") from None
    if sum(sizes.values()) > LARGEST_UNPACKED or sizes.get("xl/sharedStrings.xml", 0) > LARGEST_TEXTS:
        raise Refused.single(name, "unpacks to more than can be read", "save it as CSV UTF-8")


def _chosen(book: Any, name: str, reading: Reading) -> Any:
    sheets = {sheet.title: sheet for sheet in book.worksheets}
    if reading.sheet:
        if reading.sheet not in sheets:
            raise Refused.single(name, f"has no sheet '{reading.sheet}'", f"it has {', '.join(sheets)}")
        return sheets[reading.sheet]
    if len(sheets) != 1:
        raise Refused.single(name, f"has {len(sheets)} sheets", f"say which: {', '.join(sheets)}")
    return next(iter(sheets.values()))


def _chunks(name: str, rows: Any, header_row: int, width: int) -> Iterator[Chunk]:
    number = header_row
    while True:
        read = [_record(row, width) for row in islice(rows, AT_ONCE)]
        if not read:
            return
        first, number = number + 1, number + len(read)
        if number > MOST_ROWS:
            raise too_many_rows(name)
        yield Chunk(range(first, number + 1), 0, read)


def _record(row: tuple[Any, ...], width: int) -> list[Cell]:
    """Empty cells at the end of a row are not stored; a cell beyond the headers makes the row too wide."""
    cells = [_cell(value) for value in row]
    while len(cells) > width and cells[-1] == "":
        cells.pop()
    return cells + [""] * (width - len(cells))


def _cell(value: Any) -> Cell:
    match value:
        case None:
            return ""
        case str():
            return value.strip()
        case bool():
            return "TRUE" if value else "FALSE"
        case int():
            return Decimal(value)
        case float():
            return seen(value)
        case datetime() if value.time() == time():
            return value.date().isoformat()
        case date():
            return value.isoformat()
        case _:
            return str(value)


def seen(value: float) -> Decimal:
    """The Decimal a person sees in the cell: the shortest form, 15 digits at most as spreadsheets show them.

    >>> seen(12.3), seen(0.1 + 0.2)
    (Decimal('12.3'), Decimal('0.3'))
    """
    shortest = repr(value)
    digits = sum(sign.isdigit() for sign in shortest.partition("e")[0].lstrip("-0."))
    return Decimal(shortest if digits <= SEEN_DIGITS else f"{value:.{SEEN_DIGITS}g}")
