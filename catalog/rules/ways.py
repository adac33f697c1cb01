"""The ways in which a part may still fit, as few and as short as the rules allow.

Facts on which the answer does not depend are left out. An exclusion by one condition becomes a demand for
the opposite: not from 2014 on is before 2014. Two ways that differ in one fact only become one, and a way
that demands more than another says nothing new. What is left takes in the same engines as before.

Serials up to 499 with the 9-way connector, or from 500 on with the 9-way connector:

>>> from catalog.rules.open_case import Case, Literal, tried
>>> nine_way = Literal("option:connector", "9-way")
>>> low, high = Literal("serial", (0, 499)), Literal("serial", (500, 999))
>>> trials = tried([Case((low, nine_way), ()), Case((high, nine_way), ())], {"serial": (0, 999)})
>>> ways(trials, frozenset({"option:connector"}))
(Way(demands={'option:connector': frozenset({0})}, bars=frozenset()),)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from catalog.rules.open_case import Demand, Trial, Trials


@dataclass(frozen=True, slots=True)
class Way:
    """By slot, the numbers of the values that are wanted; and exclusions of two or more conditions, none of
    which may be met in full. Slots stand in the order in which they were first named."""

    demands: Mapping[str, frozenset[int]]
    bars: frozenset[tuple[Demand, ...]]


def ways(trials: Trials, slots: frozenset[str]) -> tuple[Way, ...]:
    """The ways, where the answer depends on `slots` only: any value of the others gives the same answer."""
    found: list[Way] = []
    for case in trials.cases:
        way = _shortened(case, trials, slots)
        if way is not None and way not in found:
            found.append(way)
    while (shorter := _merged(found, trials)) is not None:
        found = shorter
    return tuple(found)


def _shortened(case: Trial, trials: Trials, slots: frozenset[str]) -> Way | None:
    """One case without what is superfluous; None when nothing is left that could meet it."""
    demands = dict(_kept(case[0], slots))
    if any(not accepted for accepted in demands.values()) or not _met_elsewhere(case[0], slots):
        return None
    waiting = [bar for bar in case[1] if _met_elsewhere(bar, slots)]
    bars: set[tuple[Demand, ...]] = set()
    while waiting:
        bar = waiting.pop()
        left: list[Demand] = []
        for slot, accepted in _kept(bar, slots):
            possible = demands.get(slot, trials.every(slot))
            left.append((slot, accepted & possible))
        if any(not accepted for _, accepted in left):
            continue
        left = [one for one in left if one[1] != demands.get(one[0], trials.every(one[0]))]
        if not left:
            return None  # the exclusion is met whatever is found out
        if len(left) == 1:
            slot, accepted = left[0]
            demands[slot] = demands.get(slot, trials.every(slot)) - accepted
            waiting += bars  # with less that is possible, another exclusion may have become shorter
            bars.clear()
        else:
            bars.add(tuple(sorted(left)))
    return _way(demands, frozenset(bars), trials)


def _kept(part: Iterable[Demand], slots: frozenset[str]) -> Iterator[Demand]:
    return ((slot, accepted) for slot, accepted in part if slot in slots)


def _met_elsewhere(part: Iterable[Demand], slots: frozenset[str]) -> bool:
    """Every other slot is taken to have its first value; the answer is the same for each."""
    return all(0 in accepted for slot, accepted in part if slot not in slots)


def _way(demands: Mapping[str, frozenset[int]], bars: frozenset[tuple[Demand, ...]], trials: Trials) -> Way:
    told = {s: demands[s] for s in trials.fact if s in demands and len(demands[s]) < trials.count[s]}
    return Way(told, bars)


def _merged(found: list[Way], trials: Trials) -> list[Way] | None:
    """One way fewer, taking in the same engines, or None."""
    for one, two in combinations(found, 2):
        together = one if _takes_in(one, two) else two if _takes_in(two, one) else _union(one, two, trials)
        if together is not None:
            return [together if way is one else way for way in found if way is not two]
    return None


def _takes_in(wide: Way, narrow: Way) -> bool:
    return wide.bars <= narrow.bars and all(
        slot in narrow.demands and narrow.demands[slot] <= accepted for slot, accepted in wide.demands.items()
    )


def _union(one: Way, two: Way, trials: Trials) -> Way | None:
    """Both in one, where they differ in the values of a single slot."""
    if one.bars != two.bars or one.demands.keys() != two.demands.keys():
        return None
    differing = [slot for slot in one.demands if one.demands[slot] != two.demands[slot]]
    if len(differing) != 1:
        return None
    slot = differing[0]
    return _way({**one.demands, slot: one.demands[slot] | two.demands[slot]}, one.bars, trials)
