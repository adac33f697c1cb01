"""The likeliest smallest sets of faults first, without building all of them.

Sixteen bad heaters on one relay can be explained by the relay, or by a fault on every cylinder, and with
three suspects a cylinder that is 43 million ways. Nobody reads them; the likely ones come first. Here bit
0 is the relay (likelihood 1) and bits 1 and 2 are two heaters (likelihood 3 each):

>>> found, complete = likeliest([0b011, 0b101], [1, 3, 3], limit=10)
>>> [bin(mask) for mask in found], complete
(['0b110', '0b1'], True)

Both heaters: 3/7 x 3/7 = 9/49. The relay alone: 1/7 = 7/49.

The search is best first: a set half built is worth at most its own weight times the best that can still
be needed (conflicts that share nothing each cost one more element), and the most promising is grown next.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from itertools import count
from math import prod

from estimates.rules.hitting import bits, minimal_sets


def likeliest(
    conflicts: Iterable[int], counts: Sequence[int], *, limit: int, effort: int = 2_000
) -> tuple[list[int], bool]:
    """The likeliest minimal hitting sets, likeliest first, and whether these are all there are.

    `counts[n]` is the whole-number relative likelihood of element n; a set weighs the product of its
    elements' shares counts[n] / sum(counts). At most `limit` sets come back. The search goes best first,
    so that a shortened list holds the likeliest; after `effort` steps it dives for any answers instead,
    still true minimal hitting sets but no longer surely the likeliest, and says that it is not complete.
    """
    family = minimal_sets(conflicts)
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
