"""The likeliest smallest sets of faults of readings that cannot be taken apart, found best first.

Three bad readings, each through two of three parts in a ring: any two of them account for all.

>>> found, complete = search([0b011, 0b110, 0b101], [1, 2, 3], limit=2, effort=100)
>>> [bin(mask) for mask in found], complete
(['0b110', '0b101'], False)

A set half built is worth at most its own weight times the best that can still be needed (conflicts that share
nothing each cost one more element), and the most promising is grown next.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from itertools import count
from math import prod

from estimates.rules.hitting import bits


def search(
    family: Sequence[int], counts: Sequence[int], *, limit: int, effort: int
) -> tuple[list[int], bool]:
    """At most `limit` minimal hitting sets of `family`, whose conflicts contain no other, and whether all.

    Likeliest first, by the product of shares counts[n] / sum(counts); after `effort` steps depth first.
    """
    total, depth = sum(counts), len(family)
    number = {1 << n: c for n, c in enumerate(counts)}
    turn = count()

    def bound(chosen: int, barred: int) -> int:
        """No set that grows from here weighs more than this (in units of total ** -depth); 0 = dead end."""
        factors, used = [number[b] for b in bits(chosen)], 0
        for conflict in family:
            if conflict & chosen:
                continue
            allowed = conflict & ~barred
            if not allowed:
                return 0
            if not allowed & used:  # sharing nothing with those counted, it must cost a further element
                used |= allowed
                factors.append(max(number[b] for b in bits(allowed)))
        # A minimal set has a conflict of its own for each element, so never more elements than conflicts.
        return int(prod(factors)) * int(total ** (depth - len(factors)))

    def every_element_needed(chosen: int) -> bool:
        alone = 0
        for conflict in family:
            hit = conflict & chosen
            if hit and hit & (hit - 1) == 0:
                alone |= hit
        return alone == chosen

    start = bound(0, 0)
    open_nodes: list[tuple[int, int, int, int, int]] = [(-start, 0, next(turn), 0, 0)] if start else []
    found: list[int] = []
    steps = 0
    while open_nodes:
        if len(found) == limit:
            return found, False
        steps += 1
        diving = steps > effort
        if steps == effort + 1:
            open_nodes.sort(reverse=True)  # from here on the list is a stack with the best on top
        node = open_nodes.pop() if diving else heapq.heappop(open_nodes)
        _, _, _, chosen, barred = node
        missed = [conflict & ~barred for conflict in family if not conflict & chosen]
        if not missed:
            found.append(chosen)
            continue
        # Branch on the narrowest conflict. Each branch bars the elements tried before it, so that no set
        # is met twice.
        choices = sorted(bits(min(missed, key=int.bit_count)), key=lambda b: -number[b])
        grown = []
        for element in choices:
            child = chosen | element
            if every_element_needed(child) and (weight := bound(child, barred)):
                grown.append((-weight, -child.bit_count(), next(turn), child, barred))
            barred |= element
        if diving:
            open_nodes.extend(reversed(grown))
        else:
            for entry in grown:
                heapq.heappush(open_nodes, entry)
    return found, steps <= effort
