"""A pack that changes a serial scheme, or points a family to another, leaves readable what rests on it.

What the pack itself gives is checked row by row against the schemes as they will be; here it is about the
applications and machines on record that the pack does not mention.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from catalog.models import EngineFamily
from catalog.packs.agreement import scheme_of
from catalog.packs.book import Book, keyed
from catalog.packs.faults import Faults
from catalog.packs.pack import Row, Table, Values
from catalog.recorded_serials import recorded
from catalog.rules.scheme_change import Recorded, fault, unreadable
from catalog.rules.serial import SerialScheme
from shop.rules.errors import Refused


@dataclass(frozen=True, slots=True)
class Change:
    """The scheme of one family as it was and as it would be, and the row and column that change it."""

    family: str
    row: Row
    column: str
    before: SerialScheme | None
    after: SerialScheme | None


def check_serials_kept(table: Table, book: Book, faults: Faults) -> None:
    """Tell, at the row that changes it, what could not be read any more."""
    of_table = {"serial_schemes": _of_schemes, "engine_families": _of_families}.get(table.resource.name)
    changes = list(of_table(table, book)) if of_table else []
    if not changes:
        return
    records: dict[str, list[Recorded]] = defaultdict(list)
    given = set(book.given.get("applications", {}))
    for record in recorded([change.family for change in changes], given):
        records[record.family].append(record)
    lost: dict[int, tuple[str, list[Recorded]]] = {}
    for change in changes:
        found = unreadable(change.before, change.after, records[change.family])
        if found:
            lost.setdefault(change.row.number, (change.column, []))[1].extend(found)
    for number, (column, found_here) in lost.items():
        told = fault(found_here, column)
        faults.of_row(table.resource, table.file, number, column, told.what, told.right)


def _of_schemes(table: Table, book: Book) -> Iterator[Change]:
    """Prefixes or figures change, for every family that counts by the scheme now and goes on to."""
    rows: dict[str, tuple[Row, SerialScheme | None, SerialScheme | None]] = {}
    for key, row in keyed(table):
        held = book.held["serial_schemes"].get(key)
        if held is not None and not row.bad:
            before, after = _scheme(held.values), _scheme(row.values)
            if before != after:
                rows[str(key[0])] = (row, before, after)
    families = EngineFamily.objects.filter(serial_scheme__code__in=rows)
    for code, scheme in families.values_list("code", "serial_scheme__code"):
        given = book.given.get("engine_families", {}).get((code,))
        if given is None or given.values["serial_scheme"] == scheme:
            row, before, after = rows[scheme]
            column = "digits" if before and after and before.digits != after.digits else "prefixes"
            yield Change(code, row, column, before, after)


def _of_families(table: Table, book: Book) -> Iterator[Change]:
    """A family is pointed to another scheme, or to none."""
    for key, row in keyed(table):
        held = book.held["engine_families"].get(key)
        if held is None or row.bad or held.values["serial_scheme"] == row.values["serial_scheme"]:
            continue
        before = book.held["serial_schemes"].get((held.values["serial_scheme"],))
        after = book.get("serial_schemes", (row.values["serial_scheme"],))
        if row.values["serial_scheme"] is None or after is not None:  # one that is not there is told already
            yield Change(
                str(key[0]), row, "serial_scheme", _scheme(before.values if before else None), _scheme(after)
            )


def _scheme(values: Values | None) -> SerialScheme | None:
    """None where there is none, and where it contradicts itself, which is told at the scheme."""
    try:
        return scheme_of(values) if values is not None else None
    except Refused:
        return None
