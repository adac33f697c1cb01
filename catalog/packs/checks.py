"""Everything that can be said about a pack before anything is written."""

from collections.abc import Callable
from datetime import date
from itertools import combinations

from catalog.packs.agreement import RULES
from catalog.packs.book import Book, shown
from catalog.packs.columns import refs
from catalog.packs.faults import Faults
from catalog.packs.kept_serials import check_serials_kept
from catalog.packs.pack import Row, Table, names_nothing
from catalog.packs.prices import check_prices
from catalog.packs.references import check_references
from catalog.packs.replacing import check_replacements
from catalog.packs.structure import (
    check_cycles,
    check_cylinders,
    check_duplicates,
    check_kept,
    check_scopes,
    check_unique,
)


def check(book: Book, faults: Faults, step: Callable[[str], None]) -> None:
    """Tell all faults of the pack. `step` is called with the file before each table."""
    for table in book.pack.tables.values():
        step(table.file)
        check_duplicates(table, faults)
        check_references(table, book, faults)
        for row in table.rows:
            if not row.bad:
                _check_one_of(table, row, faults)
                _check_order(table, row, faults)
                _check_rules(table, row, book, faults)
        check_unique(table, book, faults)
        check_cycles(table, book, faults)
        check_replacements(table, book, faults)
        check_cylinders(table, book, faults)
        check_scopes(table, book, faults)
        check_kept(table, book, faults)
        check_prices(table, book, faults)
        check_serials_kept(table, book, faults)


def _check_one_of(table: Table, row: Row, faults: Faults) -> None:
    fields = table.resource.one_of.split()
    choice = [ref for ref in refs(table.resource.name) if ref.field in fields]
    names = [ref.own[-1] for ref in choice]
    filled = [ref.own[-1] for ref in choice if not names_nothing(ref, row.values)]
    if choice and len(filled) != 1:
        what = (
            f"both {' and '.join(filled)} are given" if filled else f"neither {' nor '.join(names)} is given"
        )
        right = f"fill in exactly one of {', '.join(names)}"
        faults.of_row(table.resource, table.file, row.number, names[-1], what, right)


def _check_order(table: Table, row: Row, faults: Faults) -> None:
    for names in table.resource.ordered:
        given = [(name, row.values[name]) for name in names.split() if row.values[name] is not None]
        for (low_name, low), (high_name, high) in combinations(given, 2):
            if high < low:  # type: ignore[operator]
                less, least = ("before", "that day or a later one") if isinstance(low, date) else (
                    "below", f"{shown(low)} or more")  # fmt: skip
                what = f"{shown(high)} is {less} the {low_name}, {shown(low)}"
                right = f"give {least}, or correct {low_name}"
                faults.of_row(table.resource, table.file, row.number, high_name, what, right)
                break


def _check_rules(table: Table, row: Row, book: Book, faults: Faults) -> None:
    rule = RULES.get(table.resource.name)
    for column, what, right in rule(row.values, book) if rule else ():
        faults.of_row(table.resource, table.file, row.number, column, what, right)
