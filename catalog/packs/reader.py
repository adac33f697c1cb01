"""The files of a pack: datapackage.json, and the CSVs that it lists.

Data Package and Tabular Data Resource, https://specs.frictionlessdata.io (version 1). Every file lies in the
pack's own folder. What cannot be read is told; what can be read is read on, so that all faults come at once.
"""

import csv
import io
import json
import re
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from catalog.packs.cells import value_of
from catalog.packs.columns import columns
from catalog.packs.faults import Faults, Wrong
from catalog.packs.pack import Pack, Row, Table
from catalog.packs.resources import BY_NAME

DESCRIPTOR = "datapackage.json"
MEGABYTE = 1_000_000
LARGEST_DESCRIPTOR = 2 * MEGABYTE
LARGEST_FILE = 64 * MEGABYTE
MOST_ROWS = 200_000
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


def read_descriptor(folder: Path, faults: Faults) -> Pack:
    """The pack with its tables, still empty."""
    pack = Pack("", "", False)
    try:
        content = json.loads(_text(folder / DESCRIPTOR, LARGEST_DESCRIPTOR))
    except Wrong as wrong:
        faults.of_pack(DESCRIPTOR, wrong.what, wrong.right)
        return pack
    except (ValueError, RecursionError) as error:
        place = f", line {error.lineno}" if isinstance(error, json.JSONDecodeError) else ""
        faults.of_pack(DESCRIPTOR + place, "is not JSON", "compare it with the one of the demonstration pack")
        return pack
    resources = content.get("resources") if isinstance(content, dict) else None
    if not isinstance(resources, list) or not resources:
        faults.of_pack(DESCRIPTOR, "lists no resources", "name each CSV under resources, with name and path")
        return pack
    name = content.get("name")
    if not isinstance(name, str) or not re.fullmatch(r"[a-z0-9._-]{1,100}", name):
        faults.of_pack(
            f"{DESCRIPTOR}, name", f"{name!r} is no name for a pack", "use small letters, figures and dashes"
        )
    pack.name = str(name)
    pack.title = str(content.get("title") or name)[:200]
    pack.demonstration = content.get("demonstration") is True
    for count, entry in enumerate(resources, start=1):
        try:
            table = _table(folder, entry)
            if table.resource.name in pack.tables:
                raise Wrong(f"{table.resource.name} is listed twice", "put all its rows into one file")
            pack.tables[table.resource.name] = table
        except Wrong as wrong:
            faults.of_pack(f"{DESCRIPTOR}, resource {count}", wrong.what, wrong.right)
    _tell_forgotten(folder, pack, faults)
    return pack


def _table(folder: Path, entry: Any) -> Table:
    if not isinstance(entry, dict):
        raise Wrong("is not an object", 'write {"name": ..., "path": ...}')
    name, path = entry.get("name"), entry.get("path")
    if name not in BY_NAME:
        near = get_close_matches(str(name), BY_NAME, n=1)
        raise Wrong(
            f"there is no table {str(name)[:60]!r}",
            f"did you mean {near[0]}" if near else f"use one of {', '.join(BY_NAME)}",
        )
    if not isinstance(path, str) or not path:
        raise Wrong(f"{name} has no path", f'write "path": "{name}.csv"')
    if not (folder / path).resolve().is_relative_to(folder.resolve()) or Path(path).is_absolute():
        raise Wrong(f"{path[:100]!r} leads out of the pack", "keep every file in the folder of the pack")
    if str(entry.get("encoding", "utf-8")).lower() not in ("utf-8", "utf8"):
        raise Wrong(f"{name} is in the encoding {entry['encoding']}", "save it as CSV UTF-8")
    dialect = entry.get("dialect")
    if isinstance(dialect, dict) and dialect.get("delimiter", ",") != ",":
        raise Wrong(f"{name} is separated by {dialect['delimiter']!r}", "separate the cells by commas")
    return Table(BY_NAME[name], path)


def _tell_forgotten(folder: Path, pack: Pack, faults: Faults) -> None:
    """A file that stands in the folder and is not read would be missed only later."""
    listed = {(folder / table.file).resolve() for table in pack.tables.values()}
    for path in sorted(folder.glob("*.csv")):
        if path.resolve() not in listed and not faults.found:
            faults.of_pack(
                path.name, f"{DESCRIPTOR} does not list it", "list it there, or take the file away"
            )


def read_table(folder: Path, table: Table, faults: Faults) -> None:
    """Fill the table from its file."""
    resource, file = table.resource, table.file
    try:
        text = _text(folder / file, LARGEST_FILE)
    except Wrong as wrong:
        faults.of_table(resource, file, wrong.what, wrong.right)
        faults.broken.add(resource.name)
        return
    csv.field_size_limit(LARGEST_FILE)
    records = csv.reader(io.StringIO(text, newline=""), strict=True)
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
            elif number > MOST_ROWS:
                raise Wrong(
                    f"has more than {MOST_ROWS} rows", "split the pack: later packs add to earlier ones"
                )
            else:
                for gap in empty:
                    faults.of_row(resource, file, gap, "", "the row is empty", "fill it or delete it")
                empty.clear()
                table.rows.append(_row(table, header, number, record, faults))
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


def _header_is_right(table: Table, header: list[str], faults: Faults) -> bool:
    wanted = columns(table.resource.name)
    wrong: list[tuple[str, str, str]] = []
    missing = [name for name in wanted if name not in header]
    for name in header:
        if name not in wanted:
            near = get_close_matches(name.strip().lower(), missing, n=1)
            hint = f"did you mean {near[0]}" if near else "take it out"
            if len(header) == 1 and (";" in name or "\t" in name):
                hint = "save the sheet with commas between the cells"
            wrong.append((name[:60], "there is no such column in this table", hint))
    wrong += [
        (name, "is missing", "add the column; its cells may be empty where optional") for name in missing
    ]
    wrong += [
        (name, "stands twice in the header", "keep one of them")
        for name in dict.fromkeys(header)
        if header.count(name) > 1 and name in wanted
    ]
    for name, what, right in wrong:
        faults.of_row(table.resource, table.file, 1, name, what, right)
    if wrong:
        faults.broken.add(table.resource.name)
    return not wrong


def _row(table: Table, header: list[str], number: int, record: list[str], faults: Faults) -> Row:
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
        try:
            row.values[name] = value_of(wanted[name], text)
        except Wrong as wrong:
            faults.of_row(table.resource, table.file, number, name, wrong.what, wrong.right)
            row.bad.add(name)
    if row.bad:
        faults.broken.add(table.resource.name)
    return row


def _text(path: Path, largest: int) -> str:
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
