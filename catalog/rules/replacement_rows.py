"""The rows of a replacement list, and what belongs together in them.

Each row says that one old part became one or more of a new part. Rows with the same old part and the
same choice number are a set: all of it is needed. A row that runs both ways says that the two parts
serve alike, so it may be walked in either direction; inside a set it cannot be, because one part of
the set does not stand for the old part.

>>> rows = [Replacement("A", "B", 1, 1, True, None), Replacement("B", "C", 1, 1, True, None),
...         Replacement("C", "D", 1, 1, False, None)]
>>> one_way, both = split(rows)
>>> list(walks("C", both)), [row.new for row in one_way]
(['C', 'B', 'A'], ['D'])
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from shop.rules.errors import Fault, Refused


@dataclass(frozen=True, slots=True)
class Replacement:
    """One row: one `old` becomes `quantity` times `new`, together with the other rows of the same old
    part and `choice`, from the day `valid_from` on (None: always). Raises Refused when it is no
    replacement: a part by itself, fewer than one, or both ways and not one for one."""

    old: str
    new: str
    choice: int
    quantity: int
    both_ways: bool
    valid_from: date | None

    def __post_init__(self) -> None:
        where, found = f"replacement of {self.old}", []
        if self.old == self.new:
            found.append(Fault(where, "it is replaced by itself", "name another part, or leave the row out"))
        if self.quantity < 1:
            found.append(Fault(f"{where}, quantity", f"{self.quantity} is too few", "give 1 or more"))
        if self.both_ways and self.quantity > 1:
            what = f"both ways, but {self.quantity} for 1"
            found.append(Fault(where, what, "give the quantity 1, or let it run one way"))
        if found:
            raise Refused(found)


# From each part, the rows that can be walked from it to parts that serve alike.
Walks = Mapping[str, Sequence[Replacement]]


def sets(rows: Iterable[Replacement]) -> dict[tuple[str, int], list[Replacement]]:
    """The rows that belong together, by old part and choice number."""
    found: dict[tuple[str, int], list[Replacement]] = defaultdict(list)
    for row in rows:
        found[row.old, row.choice].append(row)
    return found


def split(rows: Iterable[Replacement]) -> tuple[list[Replacement], dict[str, list[Replacement]]]:
    """The one-way rows, and from each part the rows that can be walked to parts that serve alike."""
    one_way: list[Replacement] = []
    both: dict[str, list[Replacement]] = defaultdict(list)
    for together in sets(rows).values():
        for row in together:
            # Part of a set: the one new part alone cannot stand for the old one, so there is no way back.
            if row.both_ways and len(together) == 1:
                both[row.old].append(row)
                both[row.new].append(replace(row, old=row.new, new=row.old))
            else:
                one_way.append(row)
    return one_way, both


def walks(start: str, both: Walks) -> dict[str, tuple[Replacement, ...]]:
    """Every part that serves alike with `start`, and the shortest walk there; itself first, with no step."""
    walks: dict[str, tuple[Replacement, ...]] = {start: ()}
    waiting = [start]
    for part in waiting:
        for row in both.get(part, ()):
            if row.new not in walks:
                walks[row.new] = (*walks[part], row)
                waiting.append(row.new)
    return walks
