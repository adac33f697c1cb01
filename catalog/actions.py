"""Writes of the catalogue that decide something: each is all or nothing, and is recorded."""

from collections.abc import Callable
from pathlib import Path

from django.db import DatabaseError
from django.utils import timezone

from catalog.packs.book import Book
from catalog.packs.checks import check
from catalog.packs.descriptor import read_descriptor
from catalog.packs.export import IMPORTED
from catalog.packs.faults import Faults
from catalog.packs.held import held_rows
from catalog.packs.load import plan, write
from catalog.packs.reader import read_table
from catalog.packs.report import Count, ImportReport
from shop.collecting import collecting_paused
from shop.events import record
from shop.rules.errors import Refused

Progress = Callable[[str, int, int], None]


def import_pack(directory: Path, *, dry_run: bool = False, progress: Progress | None = None) -> ImportReport:
    """Load the data pack in the folder: add what is new, change what differs, leave the rest alone.

    Everything is checked before anything is written; `dry_run` stops there. Raises Refused with every fault
    that was found (the first 50, and how many more), and then nothing has been written. `progress` is called
    with what is being done, how many steps are done and how many there are.
    """
    if not directory.is_dir():
        raise Refused.single(str(directory), "there is no such folder", "name the folder that holds the pack")
    with collecting_paused():
        return _imported(directory, dry_run, progress)


def _imported(directory: Path, dry_run: bool, progress: Progress | None) -> ImportReport:
    faults = Faults()
    pack = read_descriptor(directory, faults)
    faults.refuse()
    total, done = 3 * len(pack.tables), 0

    def step(what: str) -> None:
        nonlocal done
        if progress is not None:
            progress(what, done, total)
        done += 1

    for table in pack.tables.values():
        step(f"reading {table.file}")
        read_table(directory, table, faults)
    try:
        held = held_rows(pack)
    except DatabaseError as error:
        raise Refused.single(
            "the database", f"it cannot be read ({error})", "set it up first, with manage.py migrate"
        ) from error
    book = Book(pack, held)
    check(book, faults, lambda file: step(f"checking {file}"))
    faults.refuse()
    changes = plan(book)
    report = ImportReport(
        name=pack.name,
        title=pack.title,
        demonstration=pack.demonstration,
        dry_run=dry_run,
        counts=tuple(
            Count(change.resource.name, len(change.new), len(change.changed), change.unchanged)
            for change in changes
        ),
    )
    if not dry_run and report.new + report.changed:
        write(book, changes, lambda file: step(f"writing {file}"), lambda: _record(report))
    if progress is not None:
        progress("done", total, total)
    return report


def _record(report: ImportReport) -> None:
    counts = {
        count.resource: {"new": count.new, "changed": count.changed}
        for count in report.counts
        if count.new or count.changed
    }
    # An export says so too: see catalog.packs.export.
    marked = {"demonstration": True} if report.demonstration else {}
    record(IMPORTED, report.name, at=timezone.now(), by=None, **marked, **counts)
