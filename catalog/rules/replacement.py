"""From the number on the old box to what can be bought today.

Part A was replaced by B, B later by C and D together, or instead by E alone. Rows of one old part with
one choice number belong together (C and D); another choice number is another way (E). A row may run
both ways: then old and new serve alike, and whoever asks for either may get both. Following the rows
to their ends gives the chains, each a complete set of current parts with quantities. A set counts from
the day its last row counts, because half a set repairs nothing.

>>> rows = [Replacement("A", "B", 1, 1, False, None), Replacement("B", "C", 1, 1, False, None),
...         Replacement("B", "D", 1, 2, False, None), Replacement("B", "E", 2, 1, False, date(2024, 7, 1))]
>>> [chain.parts for chain in current("A", rows, date(2024, 6, 30))]
[(('C', 1), ('D', 2))]
>>> [chain.parts for chain in current("A", rows, date(2024, 7, 1))]
[(('C', 1), ('D', 2)), (('E', 1),)]
>>> print(current("A", rows, date(2024, 6, 30))[0].text())
A was replaced by B; B was replaced by C and 2 x D
>>> find_cycle([*rows, Replacement("E", "A", 1, 1, False, None)])
('A', 'B', 'E', 'A')

A circle (A replaced by B, B by A) has no end and is refused, whatever its dates. Two parts that serve
alike are no circle.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import product
from types import MappingProxyType

from catalog.rules import graph
from catalog.rules.replacement_circle import check, circle_fault, find_cycle
from catalog.rules.replacement_rows import Replacement, Walks, sets, split, walks
from shop.rules.errors import Refused

__all__ = ["Chain", "Replacement", "alike", "check", "current", "find_cycle"]

MOST_CHAINS = 200
_NO_NAMES: Mapping[str, str] = MappingProxyType({})
# By old part, its sets of one-way rows in the order of their choice numbers.
_Successors = Mapping[str, Sequence[Sequence[Replacement]]]


@dataclass(frozen=True, slots=True)
class Chain:
    """One complete way: the current parts with their quantities for one of the part asked about, and
    the rows that lead there, in the order walked (a row walked backwards is shown turned round)."""

    parts: tuple[tuple[str, int], ...]
    steps: tuple[Replacement, ...]

    def text(self, names: Mapping[str, str] = _NO_NAMES) -> str:
        """How it came to this, for people; `names` gives the numbers to show for the parts' keys."""
        told: dict[tuple[str, int, bool], list[str]] = defaultdict(list)
        for row in self.steps:
            shown = names.get(row.new, row.new)
            wanted = shown if row.quantity == 1 else f"{row.quantity} x {shown}"
            if wanted not in (already := told[row.old, row.choice, row.both_ways]):
                already.append(wanted)
        verb = {True: "serves alike with", False: "was replaced by"}
        return "; ".join(
            f"{names.get(old, old)} {verb[both_ways]} {' and '.join(new)}"
            for (old, _, both_ways), new in told.items()
        )


def current(part: str, replacements: Iterable[Replacement], on: date) -> tuple[Chain, ...]:
    """Every way to serve `part` with current parts on that day: of parts that serve alike the newest
    first, then by choice number. A part nothing replaces is its own one way, with no steps.

    Raises Refused when the rows run in a circle, or lead to more than 200 ways.
    """
    rows = in_force(replacements, on)
    successors, both = _by_old_part(rows)
    older = {row.old for row in rows if row.both_ways}
    serving: dict[str, dict[str, tuple[Replacement, ...]]] = {}
    following: dict[str, list[str]] = {}
    waiting = [part]
    while waiting:
        entry = waiting.pop()
        if entry not in serving:
            serving[entry] = walks(entry, both)
            one_way = (
                row for one in serving[entry] for together in successors.get(one, ()) for row in together
            )
            following[entry] = [row.new for row in one_way]
            waiting += following[entry]
    try:
        last_first = graph.order(following, following)
    except Refused:
        raise Refused([circle_fault(find_cycle(rows) or (part,))]) from None
    ways: dict[str, tuple[Chain, ...]] = {}
    for entry in last_first:
        found: dict[frozenset[tuple[str, int]], Chain] = {}
        for one in sorted(serving[entry], key=lambda one: one in older):
            for chain in _ways_of_one(one, successors, ways):
                steps = (*serving[entry][one], *chain.steps)
                found.setdefault(frozenset(chain.parts), Chain(chain.parts, steps))
                if len(found) > MOST_CHAINS:
                    raise Refused.single(
                        f"replacements of {part}",
                        f"they lead to more than {MOST_CHAINS} ways to serve it",
                        "take out choices that are no longer needed",
                    )
        ways[entry] = tuple(found.values())
    return ways[part]


def alike(part: str, replacements: Iterable[Replacement], on: date) -> tuple[str, ...]:
    """The parts that serve alike with this one on that day, itself first."""
    return tuple(walks(part, split(in_force(replacements, on))[1]))


def _ways_of_one(
    part: str, successors: _Successors, ways: Mapping[str, tuple[Chain, ...]]
) -> Iterator[Chain]:
    """The ways of one part by its own one-way rows; itself, where there are none."""
    if part not in successors:
        yield Chain(((part, 1),), ())
    for together in successors.get(part, ()):
        for ends in product(*[ways[row.new] for row in together]):
            counts: Counter[str] = Counter()
            steps = [*together]
            for row, end in zip(together, ends, strict=True):
                for name, quantity in end.parts:
                    counts[name] += row.quantity * quantity
                steps += end.steps
            # Two lines of a set may meet and go on alike; what they share is told once.
            yield Chain(tuple(counts.items()), tuple(steps if len(together) == 1 else dict.fromkeys(steps)))


def in_force(rows: Iterable[Replacement], on: date) -> list[Replacement]:
    """The rows that count on that day, a set counting only as a whole."""
    return [
        row
        for together in sets(rows).values()
        if all(row.valid_from is None or row.valid_from <= on for row in together)
        for row in together
    ]


def _by_old_part(rows: Iterable[Replacement]) -> tuple[_Successors, Walks]:
    one_way, both = split(rows)
    successors: dict[str, list[list[Replacement]]] = defaultdict(list)
    for (old, _), together in sorted(sets(one_way).items(), key=lambda item: item[0][1]):
        successors[old].append(together)
    return dict(successors), both
