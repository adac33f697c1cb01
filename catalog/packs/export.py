"""Writing the catalogue as a data pack, so that an import into an empty database brings back the same.

One form for one content: the rows stand in the order of their keys and every value has one spelling, so two
exports of the same catalogue are the same, byte for byte. The rows go through one at a time.
"""

import json
from collections.abc import Callable, Collection
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from django.db import DatabaseError

from catalog.packs.columns import columns
from catalog.packs.descriptor import DESCRIPTOR, check_name
from catalog.packs.extent import Extent
from catalog.packs.faults import Faults, Wrong
from catalog.packs.resources import BY_NAME, RESOURCES
from catalog.packs.schema import descriptor
from catalog.packs.stream import CHUNK, cells_of, rows_of
from catalog.packs.written import quoted
from shop.files import new_folder
from shop.models import Event, Workshop
from shop.rules.errors import Fault, Refused
from shop.snapshot import snapshot

Progress = Callable[[str, int, int], None]
IMPORTED = "pack-imported"


@dataclass(frozen=True, slots=True)
class ExportReport:
    """`rows` of each table, in the order in which an import loads them."""

    name: str
    demonstration: bool
    rows: dict[str, int]


def export_pack(
    directory: Path,
    *,
    families: Collection[str] = (),
    tables: Collection[str] = (),
    name: str = "catalogue",
    title: str = "Catalogue",
    force: bool = False,
    progress: Progress | None = None,
) -> ExportReport:
    """Write the catalogue into the folder: all of it, or what some engine families need to be complete.

    With `tables` only these are written: such a pack may refer to rows that it does not bring. `force`
    replaces a pack that is in the folder. Raises Refused, and then the folder is as it was. `progress` is
    called with what is being written, how many rows are done and how many there are.
    """
    chosen = _chosen(tables)
    _check_name(name)
    with new_folder(directory, replaces=_is_of_a_pack if force else None) as folder:
        try:
            with snapshot():
                extent = Extent(families) if families else None
                counts = _write_tables(folder, chosen, extent, progress)
                demonstration = _is_demonstration()
        except DatabaseError as error:
            raise Refused.single(
                "the database", f"it cannot be read ({error})", "set it up first, with manage.py migrate"
            ) from error
        content = descriptor(name, title, chosen, demonstration=demonstration)
        text = json.dumps(content, indent=2, ensure_ascii=False) + "\n"
        (folder / DESCRIPTOR).write_text(text, encoding="utf-8", newline="\n")
    return ExportReport(name, demonstration, {table: counts[table] for table in chosen})


def _write_tables(
    folder: Path, chosen: Collection[str], extent: Extent | None, progress: Progress | None
) -> dict[str, int]:
    # Of some families every table is asked, since what one row names in another must be known.
    asked = [resource for resource in RESOURCES if extent is not None or resource.name in chosen]
    total = sum(rows_of(resource, extent).count() for resource in asked)
    faults, counts, done = Faults(), dict[str, int](), 0
    for resource in reversed(asked):
        written = resource.name in chosen
        with (folder / f"{resource.name}.csv").open("w", encoding="utf-8", newline="") as file:
            file.write(",".join(columns(resource.name)) + "\n")
            count = 0
            for count, cells in enumerate(cells_of(resource, extent, faults), start=1):
                if written:
                    file.write(",".join(map(quoted, cells)) + "\n")
                if progress is not None and count % CHUNK == 0:
                    progress(f"{resource.name}.csv", done + count, total)
        if not written:
            (folder / f"{resource.name}.csv").unlink()
        counts[resource.name] = count
        done += count
        if progress is not None:
            progress(f"{resource.name}.csv", done, total)
    faults.refuse()
    return counts


def _chosen(tables: Collection[str]) -> list[str]:
    faults = []
    for name in sorted(set(tables) - set(BY_NAME)):
        near = get_close_matches(name, BY_NAME, n=1)
        right = f"did you mean {near[0]}" if near else f"use some of {', '.join(BY_NAME)}"
        faults.append(Fault("tables", f"there is no table {name!r}", right))
    if faults:
        raise Refused(faults)
    return [resource.name for resource in RESOURCES if not tables or resource.name in tables]


def _check_name(name: str) -> None:
    try:
        check_name(name)
    except Wrong as wrong:
        raise Refused.single("name", wrong.what, wrong.right) from None


def _is_of_a_pack(file: str) -> bool:
    return file == DESCRIPTOR or (file.endswith(".csv") and file.removesuffix(".csv") in BY_NAME)


def _is_demonstration() -> bool:
    """Invented data stays marked as such, wherever it travels."""
    return (
        Workshop.objects.filter(demonstration=True).exists()
        or Event.objects.filter(what=IMPORTED, detail__demonstration=True).exists()
    )
