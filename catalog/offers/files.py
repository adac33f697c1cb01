"""A price file as rows of cells, a few thousand at a time, whatever it was saved as.

A cell is a text, or a Decimal where a spreadsheet keeps a number. Row 1 is the first row of the file, as a
spreadsheet counts. What cannot be opened or read raises Refused with file and row.
"""

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from catalog.offers.reading import Reading
from shop.rules.errors import Refused

Cell = str | Decimal
Record = Sequence[Cell]
AT_ONCE = 1_000  # so that a chunk stays in the processor's cache: 20 times as many take twice as long
MEGABYTE = 1_000_000
LARGEST_CSV = 2_000 * MEGABYTE
MOST_ROWS = 5_000_000


@dataclass(frozen=True)
class Chunk:
    """Rows in the order of the file; `numbers` says which. `done` is the share read so far, of 1000.

    They are held as rows, or as columns where every row is known to have as many cells as the header.
    """

    numbers: Sequence[int]
    done: int
    rows: Sequence[Record] = ()
    columns: Sequence[Sequence[Cell]] = ()

    def records(self) -> Sequence[Record]:
        return list(zip(*self.columns, strict=True)) if self.columns else self.rows

    def across(self, width: int) -> Sequence[Sequence[Cell]] | None:
        """Column by column; None where a row has more or fewer cells."""
        if self.columns:
            return self.columns
        return list(zip(*self.rows, strict=True)) if set(map(len, self.rows)) == {width} else None


@dataclass(frozen=True)
class Sheet:
    """The headers and the rows below them, to be read once and in order."""

    header: tuple[str, ...]
    chunks: Iterator[Chunk]


@contextmanager
def opened(path: Path, name: str, reading: Reading) -> Iterator[Sheet]:
    """The rows of the file at `path`, told of as `name`. The first bytes say what it is, not its name."""
    from catalog.offers.csv_file import csv_sheet
    from catalog.offers.xlsx_file import xlsx_sheet

    try:
        with path.open("rb") as file:
            start = file.read(8)
    except OSError as error:
        raise Refused.single(
            name, f"cannot be opened ({error.strerror})", "check the name and the permissions"
        ) from None
    if start.startswith(b"\xd0\xcf\x11\xe0"):
        raise Refused.single(name, "is an old .xls workbook", "save it as .xlsx or as CSV UTF-8")
    kind = xlsx_sheet if start.startswith(b"PK") else csv_sheet
    with kind(path, name, reading) as sheet:
        yield sheet


def digest(path: Path) -> str:
    """The SHA-256 of the file's bytes, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def too_many_rows(name: str) -> Refused:
    return Refused.single(
        name, f"has more than {MOST_ROWS} rows", "split it; later files add to earlier ones"
    )
