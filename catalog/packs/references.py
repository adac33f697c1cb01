"""Every reference of a pack leads to a row of the pack or of the database."""

from catalog.packs.book import Book, noun, shown
from catalog.packs.columns import refs
from catalog.packs.declare import Ref
from catalog.packs.faults import Faults
from catalog.packs.pack import Key, Row, Table, Values, names_nothing


def check_references(table: Table, book: Book, faults: Faults) -> None:
    for row in table.rows:
        reported: set[str] = set()
        for ref in refs(table.resource.name):
            # What a reference before has told (no such family) is not told again (no such step in it).
            if row.bad.isdisjoint(ref.columns) and reported.isdisjoint(ref.columns):
                reported.update(_check(table, row, ref, book, faults))


def _check(table: Table, row: Row, ref: Ref, book: Book, faults: Faults) -> tuple[str, ...]:
    if names_nothing(ref, row.values):
        return ()
    empty = [column for column in ref.own if row.values.get(column) is None]
    if empty:
        others = " and ".join(column for column in ref.own if column not in empty)
        what = f"is empty although {others} is given"
        faults.of_row(
            table.resource, table.file, row.number, empty[0], what, f"fill in both, or empty {others} too"
        )
        return ref.columns
    key: Key = tuple(row.values[column] for column in ref.columns)
    if book.get(ref.target, key) is not None or ref.target in faults.broken:
        return ()
    if "family" in ref.columns and "engine_families" in faults.broken:
        return ()
    column, what, right = _unknown(ref, key, row.values, book)
    faults.of_row(table.resource, table.file, row.number, column, what, right)
    return ref.columns


def _unknown(ref: Ref, key: Key, values: Values, book: Book) -> tuple[str, str, str]:
    """Which column to look at, what is wrong, what would be right."""
    family = book.get("engine_families", (values.get("family"),)) if "family" in ref.columns else None
    if "family" in ref.columns and family is None:
        key = (values.get("family"),)
        return "family", f"there is no engine family {key[0]!r}", _add(book, "engine_families", key)
    column = ref.columns[-1]
    code = shown(key[-1])
    if ref.target == "positions" and family is not None and code.isdecimal():
        return column, f"there is no cylinder {code} of {family['cylinders']}", _add(book, ref.target, key)
    named = ", ".join(
        f"{name} {shown(value)}" for name, value in zip(ref.columns[:-1], key[:-1], strict=True)
    )
    what = f"there is no {noun(ref.target)} {code!r}" + (f" with {named}" if named else "")
    return column, what, _add(book, ref.target, key)


def _add(book: Book, name: str, key: Key) -> str:
    near = book.near(name, key)
    add = f"add it to {name}.csv"
    return f"did you mean {' or '.join(near)}? Otherwise {add}" if near else f"correct it, or {add}"
