"""What to find out next: the fewest facts that settle whether the part fits, whatever they turn out to be.

If the rules ask for the serial number and the connector, and the build date would change nothing, the
counter should be told to look for those two and not for the date. The answer is the smallest set of
unknown facts such that for every value they may have, and with the others still unknown, the verdict
is "fits" or "does not fit". Knowing everything always settles it, so there is such a set. When two
sets are equally small, the one earlier in the order serial number, build date, options by name is
told. What is already half known counts: an engine "of 2014" can only turn out to be of 2014.

Applies-rule one asks for connector 9-way, applies-rule two for a serial from place 500 on and the
same connector; nothing is excluded. The connector alone settles it: either rule one applies, or none:

>>> nine_way = Literal("option:connector", "9-way")
>>> either = [Case((nine_way,), ()), Case((Literal("serial", (500, 999)), nine_way), ())]
>>> smallest(either, {"serial": (0, 999)})
('option:connector',)

Only a few values of each fact have to be tried: between two limits that some rule mentions, one value
is as good as another. The trial goes fact by fact and stops as soon as the verdict is settled; a fact
without which the rest does not settle it is in every answer, which leaves little to search.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

_ORDER = {"serial": 0, "built": 1}


class Literal(NamedTuple):
    """An undecided condition: met when the fact has a value in `limit` (a stretch, ends included, or one
    value). Conditions about one `fact` that no single value ties together have a `slot` each."""

    fact: str
    limit: tuple[int, int] | str
    slot: str = ""


class Case(NamedTuple):
    """One application still open: all of `demands` must be met, and no exclusion in `bars` met in full.
    Conditions already met are left out; cases already decided are left out altogether."""

    demands: tuple[Literal, ...]
    bars: tuple[tuple[Literal, ...], ...]


# A case with every limit turned into the numbers of the trial values that meet it.
_Demand = tuple[str, frozenset[int]]
_Trial = tuple[tuple[_Demand, ...], tuple[tuple[_Demand, ...], ...]]
_Trials = tuple[_Trial, ...]
_Seen = dict[_Trials, bool]


def smallest(cases: Sequence[Case], domains: Mapping[str, tuple[int, int]]) -> tuple[str, ...]:
    """The facts to find out, in the order above. `domains`: first and last value a fact with stretches
    can still have. At least one case must be open."""
    literals = [literal for case in cases for part in (case.demands, *case.bars) for literal in part]
    facts = sorted({literal.fact for literal in literals}, key=lambda fact: (_ORDER.get(fact, 2), fact))
    if len(facts) == 1 or (len(cases) == 1 and not cases[0].bars and _can_be_met(cases[0], domains)):
        # The usual case, one chain of demands: with all met but one that is open, the chain is open.
        return tuple(facts)
    values, trials = _trials(cases, literals, domains)
    slots: dict[str, list[str]] = {fact: [] for fact in facts}
    for slot, fact in {_slot(literal): literal.fact for literal in literals}.items():
        slots[fact].append(slot)

    def settles(chosen: Iterable[str]) -> bool:
        allowed = frozenset(slot for fact in chosen for slot in slots[fact])
        return _settled(trials, allowed, values, {})

    # If all the others together do not settle it, this one is needed in any case.
    needed = [fact for fact in facts if not settles(other for other in facts if other != fact)]
    spare = [fact for fact in facts if fact not in needed]
    for count in range(len(spare) + 1):
        for extra in combinations(spare, count):
            if settles([*needed, *extra]):
                return tuple(fact for fact in facts if fact in needed or fact in extra)
    return tuple(facts)


def _can_be_met(case: Case, domains: Mapping[str, tuple[int, int]]) -> bool:
    """Whether some value meets each demand; a range written backwards is met by none."""
    for literal in case.demands:
        if isinstance(literal.limit, tuple):
            (first, last), (low, high) = literal.limit, domains[literal.fact]
            if max(first, low) > min(last, high):
                return False
    return True


def _slot(literal: Literal) -> str:
    return literal.slot or literal.fact


def _trials(
    cases: Sequence[Case], literals: Iterable[Literal], domains: Mapping[str, tuple[int, int]]
) -> tuple[dict[str, int], _Trials]:
    """How many values to try for each slot, and the cases in terms of those values."""
    limits: dict[str, set[tuple[int, int] | str]] = defaultdict(set)
    facts = {_slot(literal): literal.fact for literal in literals}
    for literal in literals:
        limits[_slot(literal)].add(literal.limit)
    met: dict[tuple[str, tuple[int, int] | str], frozenset[int]] = {}
    values: dict[str, int] = {}
    for slot, known in limits.items():
        stretches = [limit for limit in known if isinstance(limit, tuple)]
        if stretches:
            low, high = domains[facts[slot]]
            edges = {edge for first, last in stretches for edge in (first, last + 1)}
            starts = sorted({low} | {edge for edge in edges if low < edge <= high})
            values[slot] = len(starts)
            for first, last in stretches:
                met[slot, (first, last)] = frozenset(
                    number for number, start in enumerate(starts) if first <= start <= last
                )
        else:
            # Each value a rule names, and last any other value.
            values[slot] = len(known) + 1
            for number, limit in enumerate(known):
                met[slot, limit] = frozenset({number})

    def turned(part: tuple[Literal, ...]) -> tuple[_Demand, ...]:
        return tuple((_slot(literal), met[_slot(literal), literal.limit]) for literal in part)

    return values, tuple((turned(case.demands), tuple(turned(bar) for bar in case.bars)) for case in cases)


def _settled(trials: _Trials, allowed: frozenset[str], values: Mapping[str, int], seen: _Seen) -> bool:
    """Whether finding out the allowed slots settles it for every value. `trials` are the cases still
    open; `seen` keeps answers, since different findings often leave the same questions."""
    if not trials or ((), ()) in trials:
        return True  # nothing is left that could apply, or something applies with nothing against it
    answer = seen.get(trials)
    if answer is None:
        named = (slot for demands, bars in trials for part in (demands, *bars) for slot, _ in part)
        following = next((slot for slot in named if slot in allowed), None)
        answer = following is not None and all(
            _settled(_after(trials, following, value), allowed, values, seen)
            for value in range(values[following])
        )
        seen[trials] = answer
    return answer


def _after(trials: _Trials, slot: str, value: int) -> _Trials:
    """The cases still open once the slot is found to have this value."""
    left: dict[_Trial, None] = {}
    for demands, bars in trials:
        open_demands = _without(demands, slot, value)
        open_bars = [bar for bar in (_without(bar, slot, value) for bar in bars) if bar is not None]
        if open_demands is not None and () not in open_bars:
            left[open_demands, tuple(open_bars)] = None
    return tuple(left)


def _without(demands: tuple[_Demand, ...], slot: str, value: int) -> tuple[_Demand, ...] | None:
    """The demands left when the slot has this value; None when one of them fails."""
    if any(name == slot and value not in accepted for name, accepted in demands):
        return None
    return tuple(demand for demand in demands if demand[0] != slot)
