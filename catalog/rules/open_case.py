"""What is still open about a part, as cases that can be tried out.

An application still open is a case: everything it demands has to be met, and none of the exclusions that
stand against it may be met in full. A build date or a serial number has countless values, but only a few
differ: between two limits that some rule names, one value is as good as another. So the values of each
fact are numbered, and a condition becomes the set of numbers that meet it.

One application from serial place 500 on, of 1000, and an exclusion for the 9-way connector:

>>> nine_way = Literal("option:connector", "9-way")
>>> trials = tried([Case((Literal("serial", (500, 2000)),), ((nine_way,),))], {"serial": (0, 999)})
>>> trials.count, trials.starts["serial"], trials.named["option:connector"]
({'serial': 2, 'option:connector': 2}, (0, 500), ('9-way',))
>>> trials.cases
(((('serial', frozenset({1})),), ((('option:connector', frozenset({0})),),)),)

An option has one number for each value a rule names and one more for any other value: nobody can know
that the list of values is complete.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple


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


Demand = tuple[str, frozenset[int]]
"""A slot, and the numbers of the values that meet the condition."""
Trial = tuple[tuple[Demand, ...], tuple[tuple[Demand, ...], ...]]
"""A case in these terms: what is demanded, and the exclusions against it."""


@dataclass(frozen=True, slots=True)
class Trials:
    """The cases in terms of numbered values. By slot, in the order first named: its `fact`, the `count` of
    its values, and what they are: `starts` are the first values of stretches (each ends before the next,
    the last with `ends`), `named` are single values, behind which comes the number of any other value."""

    cases: tuple[Trial, ...]
    fact: Mapping[str, str]
    count: Mapping[str, int]
    starts: Mapping[str, tuple[int, ...]]
    ends: Mapping[str, int]
    named: Mapping[str, tuple[str, ...]]

    def every(self, slot: str) -> frozenset[int]:
        return frozenset(range(self.count[slot]))


def tried(cases: Sequence[Case], domains: Mapping[str, tuple[int, int]]) -> Trials:
    """The cases in terms of numbered values. `domains`: first and last value a fact with stretches can
    still have; what is half known already counts, an engine "of 2014" can only turn out to be of 2014."""
    fact: dict[str, str] = {}
    limits: dict[str, dict[tuple[int, int] | str, None]] = {}
    for literal in _literals(cases):
        slot = literal.slot or literal.fact
        fact[slot] = literal.fact
        limits.setdefault(slot, {})[literal.limit] = None
    starts: dict[str, tuple[int, ...]] = {}
    ends: dict[str, int] = {}
    named: dict[str, tuple[str, ...]] = {}
    met: dict[tuple[str, tuple[int, int] | str], frozenset[int]] = {}
    for slot, known in limits.items():
        stretches = [limit for limit in known if isinstance(limit, tuple)]
        if stretches:
            low, ends[slot] = domains[fact[slot]]
            edges = {edge for first, last in stretches for edge in (first, last + 1)}
            starts[slot] = begin = tuple(sorted({low} | {edge for edge in edges if low < edge <= ends[slot]}))
            for first, last in stretches:
                inside = (number for number, start in enumerate(begin) if first <= start <= last)
                met[slot, (first, last)] = frozenset(inside)
        else:
            named[slot] = tuple(str(limit) for limit in known)
            for number, limit in enumerate(known):
                met[slot, limit] = frozenset({number})

    def turned(part: tuple[Literal, ...]) -> tuple[Demand, ...]:
        slots = ((literal.slot or literal.fact, literal.limit) for literal in part)
        return tuple((slot, met[slot, limit]) for slot, limit in slots)

    return Trials(
        cases=tuple((turned(case.demands), tuple(turned(bar) for bar in case.bars)) for case in cases),
        fact=fact,
        count={slot: len(starts[slot]) if slot in starts else len(named[slot]) + 1 for slot in fact},
        starts=starts,
        ends=ends,
        named=named,
    )


def _literals(cases: Iterable[Case]) -> Iterable[Literal]:
    return (literal for case in cases for part in (case.demands, *case.bars) for literal in part)
