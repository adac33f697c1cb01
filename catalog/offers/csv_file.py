"""A price file saved as text: UTF-8, with commas, semicolons or tabs between the cells."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any, TextIO

from catalog.offers.files import AT_ONCE, LARGEST_CSV, MEGABYTE, MOST_ROWS, Chunk, Sheet, too_many_rows
from catalog.offers.reading import DELIMITERS, Reading, is_own
from shop.rules.errors import Refused

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
        with _told(path, name, [1]):
            start = list(islice(text, reading.header_row))
        delimiter = reading.delimiter or _delimiter(name, start[-1] if start else "", reading)
        text.seek(0)
        rows = csv.reader(text, delimiter=delimiter, strict=True)
        at = [0]
        with _told(path, name, at):
            header: list[str] = []
            for at[0], header in enumerate(islice(rows, reading.header_row), start=1):  # noqa: B007
                pass
        if not any(header):
            raise Refused.single(
                f"{name}, row {reading.header_row}", "has no headers", "say in which row the headers stand"
            )
        chunks = _chunks(path, name, text, rows, reading.header_row, size)
        yield Sheet(tuple(header), chunks)


def _chunks(path: Path, name: str, text: TextIO, rows: Any, header_row: int, size: int) -> Iterator[Chunk]:
    number = header_row
    while True:
        with _told(path, name, [number], rows, header_row):
            read: list[list[str]] = list(islice(rows, AT_ONCE))
        if not read:
            return
        first, number = number + 1, number + len(read)
        if number > MOST_ROWS:
            raise too_many_rows(name)
        done = text.buffer.tell() * 1000 // size if size else 1000
        yield Chunk(range(first, number + 1), read, done)


class _told:
    """Turns what the reader stumbles over into a fault that names the row."""

    def __init__(self, path: Path, name: str, at: list[int], rows: Any = None, before: int = 0) -> None:
        self.path, self.name, self.at, self.rows, self.before = path, name, at, rows, before

    def __enter__(self) -> None: ...

    def __exit__(self, kind: Any, error: BaseException | None, trace: Any) -> None:
        line = self.rows.line_num if self.rows is not None else self.at[0]
        if isinstance(error, UnicodeDecodeError):
            raise Refused.single(
                f"{self.name}, line {_line_of(self.path)}", "is not UTF-8", "save the file as CSV UTF-8"
            ) from None
        if isinstance(error, csv.Error):
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
