"""A price file saved as text: UTF-8, with commas, semicolons or tabs between the cells."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from itertools import chain, islice
from pathlib import Path
from typing import Any, TextIO

from catalog.offers.files import AT_ONCE, LARGEST_CSV, MEGABYTE, MOST_ROWS, Chunk, Sheet, too_many_rows
from catalog.offers.reading import DELIMITERS, Reading, is_own
from shop.rules.errors import Refused

BLOCK = 60_000  # characters: about a thousand rows, which stay in the processor's cache
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


@contextmanager
def csv_sheet(path: Path, name: str, reading: Reading) -> Iterator[Sheet]:
    size = path.stat().st_size
    if size > LARGEST_CSV:
        raise Refused.single(name, f"is larger than {LARGEST_CSV // MEGABYTE} MB", "split it")
    with path.open("rb") as raw:
        if raw.read(2) in UTF_16:
            raise Refused.single(name, "is UTF-16, not UTF-8", "save it as CSV UTF-8")
    with path.open(encoding="utf-8-sig", newline="") as text:
        with _told(path, name):
            start = list(islice(text, reading.header_row))
        delimiter = reading.delimiter or _delimiter(name, start[-1] if start else "", reading)
        text.seek(0)
        rows = csv.reader(text, delimiter=delimiter, strict=True)
        header: list[str] = []
        with _told(path, name, rows):
            for header in islice(rows, reading.header_row):  # noqa: B007
                pass
        if not any(header):
            raise Refused.single(
                f"{name}, row {reading.header_row}", "has no headers", "say in which row the headers stand"
            )
        chunks = _chunks(path, name, text, delimiter, len(header), reading.header_row, size)
        yield Sheet(tuple(header), chunks)


def _chunks(
    path: Path, name: str, text: TextIO, delimiter: str, width: int, header_row: int, size: int
) -> Iterator[Chunk]:
    number = header_row
    for rows, columns in _blocks(path, name, text, delimiter, width):
        first, number = number + 1, number + len(rows or columns[0])
        if number > MOST_ROWS:
            raise too_many_rows(name)
        done = text.buffer.tell() * 1000 // size if size else 1000
        yield Chunk(range(first, number + 1), done, rows, columns)


Block = tuple[list[list[str]], list[list[str]]]


def _blocks(path: Path, name: str, text: TextIO, delimiter: str, width: int) -> Iterator[Block]:
    """Rows, or columns where that is known to be the same: splitting whole blocks is many times faster."""
    lines = 0
    while True:
        with _told(path, name):
            block = text.read(BLOCK) + text.readline()
        if not block:
            return
        plain = block.replace("\r\n", "\n")
        if '"' in plain or "\r" in plain:
            break  # from here on it takes a reader that knows quotes
        lines += plain.count("\n")
        yield _split(plain.removesuffix("\n"), delimiter, width)
    rows = csv.reader(chain(StringIO(block, newline=""), text), delimiter=delimiter, strict=True)
    while True:
        with _told(path, name, rows, lines + 1):
            read = list(islice(rows, AT_ONCE))
        if not read:
            return
        yield read, []


def _split(block: str, delimiter: str, width: int) -> Block:
    """Every line end gets a cell end before it: so it begins the next row's first cell, or a row is short.

    >>> _split("a,1\\nb,2", ",", 2), _split("a,1\\nb", ",", 2)
    (([], [['a', 'b'], ['1', '2']]), ([['a', '1'], ['b']], []))
    """
    count = block.count("\n") + 1
    cells = block.replace("\n", f"{delimiter}\n").split(delimiter)
    if len(cells) == count * width:
        first = "".join(cells[::width]).split("\n")
        if len(first) == count:
            return [], [first, *(cells[place::width] for place in range(1, width))]
    return [line.split(delimiter) if line else [] for line in block.split("\n")], []


class _told:
    """Turns what the reader stumbles over into a fault that names the line."""

    def __init__(self, path: Path, name: str, rows: Any = None, before: int = 0) -> None:
        self.path, self.name, self.rows, self.before = path, name, rows, before

    def __enter__(self) -> None: ...

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        if isinstance(error, UnicodeDecodeError):
            raise Refused.single(
                f"{self.name}, line {_line_of(self.path)}", "is not UTF-8", "save the file as CSV UTF-8"
            ) from None
        if isinstance(error, csv.Error):
            line = self.before + (self.rows.line_num if self.rows is not None else 1)
            raise Refused.single(
                f"{self.name}, line {line}", f"cannot be read ({error})", "look for a quote left open"
            ) from None


def _line_of(path: Path) -> int:
    """The first line with bytes that are not UTF-8."""
    with path.open("rb") as raw:
        for number, line in enumerate(raw, start=1):
            try:
                line.decode()
            except UnicodeDecodeError:
                return number
    return 1


def _delimiter(name: str, line: str, reading: Reading) -> str:
    """The sign between the cells of the header: the one that yields the columns looked for, else the most."""
    wanted = {text.casefold() for text in reading.columns.values()}
    found: list[tuple[int, int, str]] = []
    for sign in DELIMITERS.values():
        try:
            cells = [cell.strip().casefold() for cell in next(csv.reader([line], delimiter=sign), [])]
        except csv.Error:
            continue
        known = sum(cell in wanted or is_own(cell) for cell in cells)
        found.append((known, len(cells), sign))
    found.sort(reverse=True)
    if not found or found[0][1] < 2 or (len(found) > 1 and found[0][:2] == found[1][:2]):
        raise Refused.single(
            f"{name}, row {reading.header_row}",
            "it cannot be told what stands between the cells",
            f"say the delimiter ({', '.join(DELIMITERS)}), and the row of the headers where not the first",
        )
    return found[0][2]
