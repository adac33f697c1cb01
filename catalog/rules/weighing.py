"""Each application held against the engine, together with the exclusions that could take it away.

An application is open to exclusions that reach its place. It stands when its own conditions are met
and every such exclusion is known not to hold; it falls when a condition fails or one of them holds.

>>> from datetime import date
>>> from catalog.rules.interval import DateInterval
>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ())
>>> barred = Rule("R2", "GX-1042", "V8-6", "excludes", "engine", None, 1, date(2014, 3, 1), None,
...               None, None, ())
>>> built = DateInterval.from_text
>>> for year in ("2013", "2014", "2015"):
...     print(year, weigh([rule, barred], UnitFacts("V8-6", built(year), None, {}), None)[0].truth)
2013 Truth.TRUE
2014 Truth.UNKNOWN
2015 Truth.FALSE
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from catalog.rules.application import Rule, UnitFacts
from catalog.rules.condition import Tested, tests
from catalog.rules.kleene import Truth, all_of, known, negate
from catalog.rules.serial import SerialScheme
from catalog.rules.territory import WIDTH, reaches, speaks

POSITION = "position"
_ELSEWHERE = [Tested(POSITION, Truth.FALSE)]
_FALSE = Truth.FALSE


class Weighed(NamedTuple):
    """One rule and its conditions. An exclusion's truth already contains whether it reaches the place;
    `reach` says that part alone (always TRUE for an application)."""

    rule: Rule
    tests: list[Tested]
    truth: Truth
    reach: Truth


class Candidate(NamedTuple):
    """One application with the exclusions that stand against it, and what remains of it."""

    applies: Weighed
    bars: list[Weighed]
    truth: Truth


def weigh(
    rules: Iterable[Rule],
    facts: UnitFacts,
    scheme: SerialScheme | None,
    scope: str | None = None,
    position: str | None = None,
    bank_of: Mapping[str, str] = MappingProxyType({}),
) -> list[Candidate]:
    """Every application of the rules for the engine's family, in the order given."""
    applications, exclusions = [], []
    for rule in rules:
        if rule.family != facts.family:
            continue
        if rule.polarity not in ("applies", "excludes"):
            exclusions.append(replace(rule, polarity="excludes"))  # broken: it may be either
        if rule.polarity == "excludes":
            exclusions.append(rule)
        elif rule.scope not in WIDTH or speaks(rule.scope, rule.position, scope=scope, position=position):
            applications.append((rule, tests(rule, facts, scheme)))
        else:
            applications.append((rule, _ELSEWHERE))
    barring = [(rule, tests(rule, facts, scheme)) for rule in exclusions]
    found = []
    for rule, tested in applications:
        truth = all_of([test.truth for test in tested])
        own = Weighed(rule, tested, truth, Truth.TRUE)
        bars: list[Weighed] = []
        if barring and truth is not _FALSE:
            at = (rule.scope, position or rule.position)
            for exclusion, conditions in barring:
                reach = _reach(exclusion, at, scope, position, bank_of)
                holds = all_of([reach, *(test.truth for test in conditions)])
                bars.append(Weighed(exclusion, conditions, holds, reach))
            truth = all_of([truth, *(negate(bar.truth) for bar in bars)])
        found.append(Candidate(own, bars, truth))
    return found


def _reach(
    exclusion: Rule,
    at: tuple[str, str | None],
    scope: str | None,
    position: str | None,
    bank_of: Mapping[str, str],
) -> Truth:
    if exclusion.scope not in WIDTH or at[0] not in WIDTH:
        # A broken rule may stand anywhere. What it says is open; what reaches it is only what reaches all.
        return known(exclusion.scope not in WIDTH or exclusion.scope == "engine")
    if position is not None and scope is None:
        # Nobody said what kind of place it is: the code alone decides, as it does for an application.
        return known(speaks(exclusion.scope, exclusion.position, scope=None, position=position))
    return reaches((exclusion.scope, exclusion.position or None), at, bank_of)
