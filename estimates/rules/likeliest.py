"""The likeliest smallest sets of faults first, without building all of them.

Sixteen bad heaters on one relay can be explained by the relay, or by a fault on every cylinder, and with
three suspects a cylinder that is 43 million ways. Nobody reads them; the likely ones come first. Here bit
0 is the relay (likelihood 1) and bits 1 and 2 are two heaters (likelihood 3 each):

>>> found, complete = likeliest([0b011, 0b101], [1, 3, 3], limit=10)
>>> [bin(mask) for mask in found], complete
(['0b110', '0b1'], True)

Both heaters: 3/7 x 3/7 = 9/49. The relay alone: 1/7 = 7/49.

What hangs together through shared suspects is taken apart first, as a technician would. A suspect in every
conflict accounts for all of them alone; without it the rest often falls into circuits that share nothing, and
the likeliest sets of the whole are made of the likeliest of each. What cannot be taken apart is searched
(likeliest_search).
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from functools import reduce
from math import prod
from operator import and_

from estimates.rules.hitting import bits, connected, minimal_sets
from estimates.rules.likeliest_search import search

Weighed = list[tuple[int, int]]  # (weight, set), likeliest first; weights of one family compare


def likeliest(
    conflicts: Iterable[int], counts: Sequence[int], *, limit: int, effort: int = 2_000
) -> tuple[list[int], bool]:
    """The likeliest minimal hitting sets, likeliest first, and whether these are all there are.

    `counts[n]` is the whole-number relative likelihood of element n; a set weighs the product of its
    elements' shares counts[n] / sum(counts). At most `limit` sets come back. What cannot be taken apart is
    searched best first, so that a shortened list holds the likeliest; after `effort` steps the search dives
    for any answers instead, still true minimal hitting sets but no longer surely the likeliest, and says
    that it is not complete.
    """
    family = minimal_sets(conflicts)
    if not all(family):
        return [], True  # nothing hits an empty conflict
    found, complete = _taken_apart(family, counts, limit, effort)
    return [mask for _, mask in found], complete


def _taken_apart(
    family: Sequence[int], counts: Sequence[int], limit: int, effort: int
) -> tuple[Weighed, bool]:
    """The sets of a family without empty conflicts; one weighs prod(counts) x total ** (conflicts - size)."""
    apart = connected(family)
    if len(apart) != 1:
        found: Weighed = [(1, 0)]
        complete = True
        for group in apart:
            more, whole = _taken_apart(group, counts, limit, effort)
            found, all_of_them = _both(found, more, limit)
            complete = complete and whole and all_of_them
        return found, complete
    total, number = sum(counts), {1 << n: c for n, c in enumerate(counts)}
    in_every = reduce(and_, family)
    if not in_every:
        masks, complete = search(family, counts, limit=limit, effort=effort)
        weighed = (
            (_weight(mask, counts) * total ** (len(family) - mask.bit_count()), mask) for mask in masks
        )
        return sorted(weighed, key=_order), complete
    alone = [(number[b] * total ** (len(family) - 1), b) for b in bits(in_every)]
    rest = minimal_sets(conflict & ~in_every for conflict in family)
    more, complete = _taken_apart(rest, counts, limit, effort) if all(rest) else ([], True)
    scale = total ** (len(family) - len(rest))
    found = sorted([*alone, *((weight * scale, mask) for weight, mask in more)], key=_order)
    return found[:limit], complete and len(found) <= limit


def _order(weighed: tuple[int, int]) -> tuple[int, int, int]:
    weight, mask = weighed
    return (-weight, mask.bit_count(), mask)


def _weight(mask: int, counts: Sequence[int]) -> int:
    return prod(count for n, count in enumerate(counts) if mask >> n & 1)


def _both(one: Weighed, other: Weighed, limit: int) -> tuple[Weighed, bool]:
    """The likeliest unions of a set of each, and whether these are all: the next best is always beside one
    taken already."""
    found: Weighed = []
    waiting = [(-one[0][0] * other[0][0], 0, 0)] if one and other else []
    seen = {(0, 0)}
    while waiting and len(found) < limit:
        weight, i, j = heapq.heappop(waiting)
        found.append((-weight, one[i][1] | other[j][1]))
        for place in ((i + 1, j), (i, j + 1)):
            if place not in seen and place[0] < len(one) and place[1] < len(other):
                seen.add(place)
                heapq.heappush(waiting, (-one[place[0]][0] * other[place[1]][0], *place))
    return found, not waiting
