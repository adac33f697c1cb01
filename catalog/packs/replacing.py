"""What the rules say about all replacements together, the database's counted in: circles and sets.

A circle of rows that all run one way is told by `structure`; here are those through parts that serve alike.
"""

from itertools import pairwise

from catalog.packs.book import Book, shown
from catalog.packs.faults import Faults
from catalog.packs.pack import Row, Table, Values
from catalog.rules import graph
from catalog.rules.replacement_circle import find_cycle
from catalog.rules.replacement_rows import Replacement, sets
from shop.rules.errors import Refused

MOST_CIRCLES = 10


def check_replacements(table: Table, book: Book, faults: Faults) -> None:
    """Tell what `catalog.rules.replacement.check` would refuse, at a row of the pack."""
    if table.resource.name != "replacements":
        return
    given = {id(row.values): row for row in table.rows if not row.bad}
    rows: dict[Replacement, Row | None] = {}
    for _, values in book.all("replacements"):
        row = given.get(id(values))
        if row is None and any(row.values is values for row in table.rows):
            continue  # could not be read
        try:
            rows[_rule(values)] = row
        except Refused as refused:
            if row is not None:
                fault = refused.faults[0]
                column = "new_number" if "itself" in fault.what else "quantity"
                if column == "quantity":  # a part by itself is a circle of one, told already
                    faults.of_row(table.resource, table.file, row.number, column, fault.what, fault.right)
    _check_sets(table, rows, faults)
    edges: dict[str, list[str]] = {}
    for rule in rows:
        edges.setdefault(rule.old, []).append(rule.new)
    if graph.find_cycle(edges) is None:
        _check_circles(table, rows, faults)


def _rule(values: Values) -> Replacement:
    old, new = (f"{shown(values[f'{end}_brand'])} {shown(values[f'{end}_number'])}" for end in ("old", "new"))
    choice, quantity = int(str(values["choice"])), int(str(values["quantity"]))
    return Replacement(old, new, choice, quantity, values["both_ways"] is True, None)


def _check_sets(table: Table, rows: dict[Replacement, Row | None], faults: Faults) -> None:
    for (old, choice), together in sets(rows).items():
        mine = [row for rule in together if (row := rows[rule]) is not None]
        if len(together) > 1 and mine and any(rule.both_ways for rule in together):
            names = " and ".join(rule.new for rule in together)
            what = f"choice {choice} of {old} needs {names} together, and yet runs both ways"
            right = "let a set of several parts run one way, or give another choice"
            number = max(row.number for row in mine)
            faults.of_row(table.resource, table.file, number, "both_ways", what, right)


def _check_circles(table: Table, rows: dict[Replacement, Row | None], faults: Faults) -> None:
    left = dict(rows)
    for _ in range(MOST_CIRCLES):
        circle = find_cycle(left)
        if circle is None:
            return
        steps = {frozenset(step) for step in pairwise(circle)}
        walked = [rule for rule in left if frozenset((rule.old, rule.new)) in steps]
        last = max(walked, key=lambda rule: row.number if (row := left[rule]) is not None else 0)
        row = left.pop(last)
        if row is not None:
            what = f"replacements run in a circle: {' -> '.join(circle)}"
            right = "take one of these links out; parts that serve alike are one row that runs both ways"
            faults.of_row(table.resource, table.file, row.number, "new_number", what, right)
