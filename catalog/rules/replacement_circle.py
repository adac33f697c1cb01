"""Replacements that run in a circle: A became B, B became C, C became A. Such a list has no end.

It is refused before it is written, and all rows are looked at together, so that a list brought in at
one go is tested as a whole. Going back and forth between parts that serve alike is no circle; coming
back to where one started after at least one one-way row is.

>>> alike = Replacement("B", "A", 1, 1, True, None)
>>> find_cycle([alike, Replacement("A", "B", 1, 1, True, None)]) is None
True
>>> find_cycle([alike, Replacement("A", "B", 1, 1, False, None)])
('A', 'B', 'A')
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise

from catalog.rules import graph
from catalog.rules.replacement_rows import Replacement, sets, split, walks
from shop.rules.errors import Fault, Refused


def find_cycle(replacements: Iterable[Replacement]) -> tuple[str, ...] | None:
    """Parts that replace one another in a circle, walked and closed, or None. Dates are not looked at.

    Walking back and forth between parts that serve alike is no circle; coming back after at least one
    one-way row is.
    """
    rows = list(replacements)
    one_way, both = split(rows)
    home: dict[str, str] = {}
    for part in dict.fromkeys(name for row in rows for name in (row.old, row.new)):
        if part not in home:
            home |= dict.fromkeys(walks(part, both), part)
    leads = {(home[row.old], home[row.new]): row for row in reversed(one_way)}
    edges: dict[str, list[str]] = defaultdict(list)
    for here, there in leads:
        edges[here].append(there)
    circle = graph.find_cycle(edges)
    if circle is None:
        return None
    walked = [leads[step] for step in pairwise(circle)]
    parts = [walked[0].old]
    for row, following in zip(walked, [*walked[1:], walked[0]], strict=True):
        parts.append(row.new)
        parts += [step.new for step in walks(row.new, both)[following.old]]
    return tuple(parts)


def check(replacements: Iterable[Replacement]) -> None:
    """Raises Refused when the rows, all taken together, cannot be written: they run in a circle, or a
    row runs both ways although several parts are needed together."""
    rows = list(replacements)
    circle = find_cycle(rows)
    faults = [circle_fault(circle)] if circle else []
    for (old, choice), together in sets(rows).items():
        if len(together) > 1 and any(row.both_ways for row in together):
            names = " and ".join(row.new for row in together)
            what = f"choice {choice} needs {names} together, and yet runs both ways"
            faults.append(Fault(f"replacement of {old}", what, "let a set of several parts run one way"))
    if faults:
        raise Refused(faults)


def circle_fault(circle: tuple[str, ...]) -> Fault:
    """What is said of a circle."""
    return Fault(
        "replacements",
        f"they run in a circle: {' -> '.join(circle)}",
        "take one of these rows out; parts that serve alike are one row that runs both ways",
    )
