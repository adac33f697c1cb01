"""The CSVs of a pack, read row by row.

Tabular Data Resource, https://specs.frictionlessdata.io (version 1). What cannot be read is told; what can be
read is read on, so that all faults come at once.
"""

import csv
import re
from collections.abc import Iterator
from difflib import get_close_matches
from pathlib import Path

from catalog.packs.cells import value_of
from catalog.packs.columns import columns
from catalog.packs.faults import Faults, Wrong
from catalog.packs.pack import Row, Table, Value

MEGABYTE = 1_000_000
# A pack is held in memory while it is checked, with about a kilobyte for each row.
LARGEST_FILE = 256 * MEGABYTE
MOST_ROWS = 1_000_000
# Codes, dates and prices come again and again: each is worked out once, and held once.
REMEMBERED = 20_000
Known = dict[str, dict[str, Value]]
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


def read_table(folder: Path, table: Table, faults: Faults) -> None:
    """Fill the table from its file."""
    resource, file = table.resource, table.file
    try:
        text = read_text(folder / file, LARGEST_FILE)
    except Wrong as wrong:
        faults.of_table(resource, file, wrong.what, wrong.right)
        faults.broken.add(resource.name)
        return
    known: Known = {name: {} for name in columns(resource.name)}
    records = csv.reader(_lines(text), strict=True)
    number = 0
    header: list[str] = []
    empty: list[int] = []  # told only where something follows: spreadsheets leave empty rows at the end
    try:
        for number, record in enumerate(records, start=1):
            if number == 1:
                header = record
                if not _header_is_right(table, header, faults):
                    return
            elif not any(record):
                empty.append(number)
            elif number > MOST_ROWS + 1:
                raise Wrong(
                    f"has more than {MOST_ROWS} rows", "split the pack: later packs add to earlier ones"
                )
            else:
                for gap in empty:
                    faults.of_row(resource, file, gap, "", "the row is empty", "fill it or delete it")
                empty.clear()
                table.rows.append(_row(table, header, number, record, known, faults))
        if not number:
            raise Wrong("is empty", f"write the header {','.join(columns(resource.name))}")
    except csv.Error as error:
        faults.of_row(
            resource, file, number + 1, "", f"cannot be read ({error})", "look for a quote left open"
        )
        faults.broken.add(resource.name)
    except Wrong as wrong:
        faults.of_table(resource, file, wrong.what, wrong.right)
        faults.broken.add(resource.name)


def _lines(text: str) -> Iterator[str]:
    """With their ends, as csv wants them. A text stream would hold the file again, at four times its size."""
    return (found.group() for found in re.finditer(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text))


def _header_is_right(table: Table, header: list[str], faults: Faults) -> bool:
    wrong = list(_wrong_in_header(list(columns(table.resource.name)), header))
    for name, what, right in wrong:
        shown = name[:60] if name.isprintable() and name else repr(name[:60])
        faults.of_row(table.resource, table.file, 1, shown, what, right)
    if wrong:
        faults.broken.add(table.resource.name)
    return not wrong


def _wrong_in_header(wanted: list[str], header: list[str]) -> Iterator[tuple[str, str, str]]:
    unknown = "there is no such column in this table"
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        yield header[0], unknown, "save the sheet with commas between the cells"
        return
    missing = [name for name in wanted if name not in header]
    for name in header:
        if name not in wanted:
            near = get_close_matches(name.strip().lower(), missing, n=1)
            yield name, unknown, f"did you mean {near[0]}" if near else "take it out"
    for name in missing:
        yield name, "is missing", "add the column; its cells may be empty where optional"
    for name in wanted:
        if header.count(name) > 1:
            yield name, "stands twice in the header", "keep one of them"


def _row(
    table: Table, header: list[str], number: int, record: list[str], known: Known, faults: Faults
) -> Row:
    row = Row(number, {})
    wanted = columns(table.resource.name)
    if len(record) != len(header):
        what = f"the row has {len(record)} cells, the header has {len(header)}"
        more = len(record) > len(header)
        right = (
            "put a text that has a comma into quotes" if more else "write a comma for every empty cell too"
        )
        faults.of_row(table.resource, table.file, number, "", what, right)
        row.bad.update(wanted)
    for name, text in zip(header, record, strict=False) if not row.bad else ():
        before = known[name]
        if text in before:
            row.values[name] = before[text]
            continue
        try:
            value = row.values[name] = value_of(wanted[name], text)
            if len(before) < REMEMBERED:
                before[text] = value
        except Wrong as wrong:
            faults.of_row(table.resource, table.file, number, name, wrong.what, wrong.right)
            row.bad.add(name)
    if row.bad:
        faults.broken.add(table.resource.name)
    return row


def read_text(path: Path, largest: int) -> str:
    """The file as text. Raises Wrong."""
    try:
        if path.stat().st_size > largest:
            raise Wrong(
                f"is larger than {largest // MEGABYTE} MB", "split the pack: later packs add to earlier ones"
            )
        content = path.read_bytes()
    except FileNotFoundError:
        raise Wrong("is not there", f"put it into the folder {path.parent.name}") from None
    except OSError as error:
        raise Wrong(f"cannot be opened ({error.strerror})", "check the name and the permissions") from None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if content.startswith(UTF_16):
            raise Wrong("is UTF-16, not UTF-8", "save it as CSV UTF-8") from None
        line = content.count(b"\n", 0, error.start) + 1
        raise Wrong(
            f"line {line} is not UTF-8 (byte {content[error.start]:#04x})", "save it as CSV UTF-8"
        ) from None
