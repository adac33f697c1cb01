"""datapackage.json, which says which tables a pack has and in which files.

Data Package, https://specs.frictionlessdata.io (version 1). Every file lies in the pack's own folder.
"""

import json
import re
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from catalog.packs.faults import Faults, Wrong
from catalog.packs.pack import Pack, Table
from catalog.packs.reader import MEGABYTE, read_text
from catalog.packs.resources import BY_NAME

DESCRIPTOR = "datapackage.json"
LARGEST_DESCRIPTOR = 2 * MEGABYTE


def read_descriptor(folder: Path, faults: Faults) -> Pack:
    """The pack with its tables, still empty."""
    pack = Pack("", "", False)
    try:
        content = json.loads(read_text(folder / DESCRIPTOR, LARGEST_DESCRIPTOR))
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
    try:
        check_name(name)
    except Wrong as wrong:
        faults.of_pack(f"{DESCRIPTOR}, name", wrong.what, wrong.right)
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


def check_name(name: Any) -> None:
    if not isinstance(name, str) or not re.fullmatch(r"[a-z0-9._-]{1,100}", name):
        raise Wrong(f"{name!r} is no name for a pack", "use small letters, figures and dashes")


def _table(folder: Path, entry: Any) -> Table:
    if not isinstance(entry, dict):
        raise Wrong("is not an object", 'write {"name": ..., "path": ...}')
    name, path = entry.get("name"), entry.get("path")
    if not isinstance(name, str) or name not in BY_NAME:
        near = get_close_matches(str(name), BY_NAME, n=1)
        raise Wrong(
            f"there is no table {str(name)[:60]!r}",
            f"did you mean {near[0]}" if near else f"use one of {', '.join(BY_NAME)}",
        )
    if not isinstance(path, str) or not path:
        raise Wrong(f"{name} has no path", f'write "path": "{name}.csv"')
    if not path.isprintable() or not _lies_within(folder, path):
        raise Wrong(f"{path[:100]!r} leads out of the pack", "keep every file in the folder of the pack")
    if str(entry.get("encoding", "utf-8")).lower() not in ("utf-8", "utf8"):
        raise Wrong(f"{name} is in the encoding {entry['encoding']}", "save it as CSV UTF-8")
    dialect = entry.get("dialect")
    if isinstance(dialect, dict) and dialect.get("delimiter", ",") != ",":
        raise Wrong(f"{name} is separated by {dialect['delimiter']!r}", "separate the cells by commas")
    return Table(BY_NAME[name], path)


def _lies_within(folder: Path, path: str) -> bool:
    try:
        return (folder / path).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError):  # a link to itself, a name that no file can have
        return False


def _tell_forgotten(folder: Path, pack: Pack, faults: Faults) -> None:
    """A file that stands in the folder and is not read would be missed only later."""
    listed = {(folder / table.file).resolve() for table in pack.tables.values()}
    for path in sorted(folder.glob("*.csv")):
        if path.resolve() not in listed and not faults.found:
            faults.of_pack(
                path.name, f"{DESCRIPTOR} does not list it", "list it there, or take the file away"
            )
