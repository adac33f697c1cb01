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

from collections.abc import Hashable, Iterable
from itertools import product
from typing import TypeVar

T = TypeVar("T", bound=Hashable)


def minimal_hitting_sets(conflicts: Iterable[frozenset[T]]) -> frozenset[frozenset[T]]:
    """Every minimal hitting set. No conflict: only the empty set. An empty conflict: none at all.

    The answers can double in number with each conflict; to show a person the likely ones, take `likeliest`.
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
