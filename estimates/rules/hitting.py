"""Which smallest sets of faults would account for every bad reading at once.

Each bad reading names a group of components of which at least one is at fault: a conflict. A set of
components that takes at least one from every conflict accounts for all of them (it "hits" them); it is
minimal when nothing in it can be left out. Two bad heaters' readings that share a relay are accounted
for by the relay alone, or by both heaters:

>>> relay_and_heaters = [frozenset({"relay", "heater 1"}), frozenset({"relay", "heater 2"})]
>>> for faults in sorted(minimal_hitting_sets(relay_and_heaters), key=len):
...     print(sorted(faults))
['relay']
['heater 1', 'heater 2']

Source: R. Reiter, "A Theory of Diagnosis from First Principles", Artificial Intelligence 32 (1987).
Sets are held as bit masks (bit n = element n), which makes "is part of" one machine operation.
"""

from __future__ import annotations

import heapq
from collections.abc import Hashable, Iterable, Sequence
from itertools import count, product
from math import prod
from typing import TypeVar

T = TypeVar("T", bound=Hashable)


def minimal_hitting_sets(conflicts: Iterable[frozenset[T]]) -> frozenset[frozenset[T]]:
    """Every minimal hitting set. No conflict: only the empty set. An empty conflict: none at all.

    The number of answers can double with each conflict: to show a person the likely ones, see `likeliest`.
    """
    given = list(conflicts)
    elements = list(dict.fromkeys(element for conflict in given for element in conflict))
    bit = {element: 1 << number for number, element in enumerate(elements)}
    masks = minimal_sets(sum(bit[element] for element in conflict) for conflict in given)
    # Conflicts that share nothing are solved apart and combined only at the end.
    solved = [_extend(group) for group in connected(masks)]
    return frozenset(
        frozenset(element for element in elements if any(bit[element] & part for part in parts))
        for parts in product(*solved)
    )


def minimal_sets(masks: Iterable[int]) -> list[int]:
    """The masks that contain no other mask: whoever hits the smaller one hits the larger one as well."""
    kept: list[int] = []
    for mask in sorted(set(masks), key=lambda m: (m.bit_count(), m)):
        if not any(mask & smaller == smaller for smaller in kept):
            kept.append(mask)
    return kept


def connected(masks: Iterable[int]) -> list[list[int]]:
    """The masks in groups that share no bit with one another; order as given, by each group's first."""
    groups: list[tuple[int, list[int]]] = []
    for mask in masks:
        touching = [group for group in groups if group[0] & mask]
        if not touching:
            groups.append((mask, [mask]))
            continue
        reach, members = mask, []
        for group in touching:
            reach |= group[0]
            members += group[1]
        groups[groups.index(touching[0])] = (reach, [*members, mask])
        for group in touching[1:]:
            groups.remove(group)
    return [members for _, members in groups]


def _extend(conflicts: Iterable[int]) -> list[int]:
    """Take the conflicts one after the other, widening only the sets that miss the next one."""
    sets = [0]
    for conflict in conflicts:
        hitting = [s for s in sets if s & conflict]
        widened = (s | b for s in sets if not s & conflict for b in bits(conflict))
        sets = hitting + [w for w in set(widened) if not any(h & w == h for h in hitting)]
    return sets


def bits(mask: int) -> list[int]:
    """The single bits of a mask, lowest first."""
    found = []
    while mask:
        lowest = mask & -mask
        found.append(lowest)
        mask ^= lowest
    return found


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
