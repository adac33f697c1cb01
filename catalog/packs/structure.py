"""What must agree between rows: no two of one key, no circles, cylinders that exist."""

from collections import defaultdict
from itertools import pairwise

from catalog.models import Application, Spec
from catalog.packs.book import Book, keyed, noun, shown, written
from catalog.packs.columns import columns, columns_of, refs
from catalog.packs.declare import Ref
from catalog.packs.faults import Faults
from catalog.packs.pack import Key, Table, Value, Values
from catalog.rules.graph import find_cycle

MOST_CYCLES = 10


def check_duplicates(table: Table, faults: Faults) -> None:
    """Two rows of one key: both are named, since nobody can tell which of them is meant."""
    name, first = table.resource.name, dict[Key, int]()
    for key, row in keyed(table):
        before = first.setdefault(key, row.number)
        if before != row.number:
            what = f"the {noun(name)} stands in row {before} already ({written(name, row.values)})"
            faults.of_row(table.resource, table.file, row.number, "", what, "keep one of the two rows")


def check_unique(table: Table, book: Book, faults: Faults) -> None:
    """Values that no two rows share besides the key, like the rank of an operation for a component."""
    resource = table.resource
    number_of = {id(row.values): row.number for row in table.rows}
    for fields in resource.unique:
        names = [name for field in fields.split() for name in columns_of(resource.name, field)]
        holders: dict[tuple[Value, ...], list[Values]] = defaultdict(list)
        for _, values in book.all(resource.name):
            shared = tuple(values[name] for name in names)
            if None not in shared:
                holders[shared].append(values)
        for shared, found in holders.items():
            numbers = [number_of[id(values)] for values in found if id(values) in number_of]
            if len(found) == 1 or not numbers:
                continue
            said = ", ".join(f"{name} {shown(value)}" for name, value in zip(names, shared, strict=True))
            others = [f"row {number}" for number in numbers[:-1]]
            others += ["the database"] if len(found) > len(numbers) else []
            what = f"{said} stands in {' and '.join(others)} already"
            faults.of_row(resource, table.file, numbers[-1], names[-1], what, "give each its own")


def check_cycles(table: Table, book: Book, faults: Faults) -> None:
    """No circle in the references, those of the database counted in. The path is named."""
    if table.resource.edges is None:
        return
    by_field = {ref.field: ref for ref in refs(table.resource.name)}
    start, end = (by_field[field] for field in table.resource.edges)
    given = {(_label(start, row.values), _label(end, row.values)): row for row in table.rows if not row.bad}
    edges: dict[str, list[str]] = defaultdict(list)
    for _, values in book.all(table.resource.name):
        if None not in (values.get(column) for column in (*start.columns, *end.columns)):
            edges[_label(start, values)].append(_label(end, values))
    for _ in range(MOST_CYCLES):
        circle = find_cycle(edges)
        if circle is None:
            return
        steps = list(pairwise(circle))
        row = max((given[step] for step in steps if step in given), key=lambda row: row.number)
        what = f"{noun(start.target)}s run in a circle: {' -> '.join(circle)}"
        column = end.own[-1]
        faults.of_row(table.resource, table.file, row.number, column, what, "take one of these links out")
        edges[_label(start, row.values)].remove(_label(end, row.values))


def _label(ref: Ref, values: Values) -> str:
    return " ".join(shown(values[column]) for column in ref.columns)


def check_cylinders(table: Table, book: Book, faults: Faults) -> None:
    """No family has more cylinder positions than cylinders."""
    if table.resource.name not in ("positions", "engine_families"):
        return
    cylinders: dict[Value, list[str]] = defaultdict(list)
    for key, values in book.all("positions"):
        if values["scope"] == "cylinder":
            cylinders[key[0]].append(str(key[1]))
    listed = {key[0] for key in book.given.get("positions", {})}
    last = {key[0]: row for key, row in keyed(table) if not row.bad}
    for code, row in last.items():
        family = book.get("engine_families", (code,))
        most = int(str(family["cylinders"])) if family is not None else 0
        if family is None or len(cylinders[code]) <= most:
            continue
        if table.resource.name == "engine_families":
            if code in listed:
                continue  # told at the positions
            column, what = "cylinders", f"{most}, but {len(cylinders[code])} positions are cylinders"
        else:
            if any(name.isdecimal() and int(name) > most for name in cylinders[code]):
                continue  # told at the row
            column, what = "code", f"{len(cylinders[code])} cylinder positions on an engine of {most}"
        right = "make engine_families.csv and positions.csv agree"
        faults.of_row(table.resource, table.file, row.number, column, what, right)


def check_scopes(table: Table, book: Book, faults: Faults) -> None:
    """A scope that the family has no position of: nothing could ever be done there."""
    names = columns(table.resource.name)
    if table.resource.name == "positions" or "scope" not in names or "positions" in faults.broken:
        return
    there = {(key[0], values["scope"]) for key, values in book.all("positions")}
    for row in table.rows:
        family, scope = row.values.get("family"), row.values.get("scope")
        if row.bad or (family, scope) in there or book.get("engine_families", (family,)) is None:
            continue
        what = f"the family {family} has no position of the scope {scope}"
        faults.of_row(
            table.resource, table.file, row.number, "scope", what, "correct it, or add to positions.csv"
        )


def check_kept(table: Table, book: Book, faults: Faults) -> None:
    """A part keeps its type, and a property its unit, while rows of the database were written by them."""
    column = {"parts": "part_type", "properties": "unit"}.get(table.resource.name)
    if column is None:
        return
    held = book.held[table.resource.name]
    changed = {
        held[key].pk: (row, held[key].values[column])
        for key, row in keyed(table)
        if key in held and column not in row.bad and held[key].values[column] != row.values[column]
    }
    if not changed:
        return
    if column == "part_type":
        used = set(Application.objects.filter(part__in=changed).values_list("part", flat=True).distinct())
        used |= set(Spec.objects.filter(part__in=changed).values_list("part", flat=True).distinct())
        by = "applications or specs"
    else:
        used = set(Spec.objects.filter(property__in=changed).values_list("property", flat=True).distinct())
        by = "specs"
    for pk in used & changed.keys():
        row, before = changed[pk]
        what = f"it would change from {before or 'text'} to {row.values[column] or 'text'}, and it has {by}"
        right = f"keep {before or 'it empty'}, or make a new {noun(table.resource.name)}"
        faults.of_row(table.resource, table.file, row.number, column, what, right)
