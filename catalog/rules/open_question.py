"""What is open about the applications of a part, drawn together: cases to try, and the words for them.

>>> from catalog.rules.application import Rule, UnitFacts
>>> from catalog.rules.interval import DateInterval
>>> from catalog.rules.weighing import weigh
>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "engine", None, 1, None, None, None, None,
...     (("connector", "9-Way"),))
>>> facts = UnitFacts("V8-6", DateInterval(), None, {})
>>> asked = Open(weigh([rule], facts, None), facts, None, None)
>>> asked.decision.truth, asked.missing
(Truth.UNKNOWN, ('option:connector',))
>>> asked.phrase({"connector": "the heater connector"}, ["the heater connector"])
'fits if the heater connector is 9-Way; tell us the heater connector'
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from catalog.rules import condition
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.condition import Tested
from catalog.rules.decision import Decision, decide
from catalog.rules.fits_if import Words, phrase
from catalog.rules.kleene import Truth
from catalog.rules.missing import in_order
from catalog.rules.open_case import Case, Literal, Trials, tried
from catalog.rules.reasons import BANK, open_tests
from catalog.rules.serial import SerialScheme
from catalog.rules.ways import ways
from catalog.rules.weighing import Candidate, Weighed

_FALSE, _UNKNOWN = Truth.FALSE, Truth.UNKNOWN


class Open:
    """The open ones among the candidates, for an engine and a place; each answer is worked out when asked."""

    def __init__(
        self,
        candidates: Sequence[Candidate],
        facts: UnitFacts,
        scheme: SerialScheme | None,
        position: str | None,
    ) -> None:
        self.candidates = [candidate for candidate in candidates if candidate.truth is _UNKNOWN]
        self.facts, self.scheme, self.position = facts, scheme, position

    @cached_property
    def trials(self) -> Trials:
        cases = []
        for candidate in self.candidates:
            demands, *bars = (
                tuple(_literal(test) for test in open_tests(weighed, candidate, self.position))
                for weighed in (candidate.applies, *candidate.bars)
                if weighed.truth is not _FALSE
            )
            cases.append(Case(demands, tuple(bars)))
        stretches = (condition.BUILT, condition.SERIAL)
        return tried(cases, {fact: condition.domain(fact, self.facts, self.scheme) for fact in stretches})

    @cached_property
    def decision(self) -> Decision:
        """Whether all of it comes to the same answer, and if not, on what it depends."""
        return decide(self.trials)

    @property
    def missing(self) -> tuple[str, ...]:
        """The facts to find out, in the order in which they are asked for."""
        return in_order(self.trials.fact[slot] for slot in self.decision.slots)

    @property
    def named(self) -> tuple[str, ...]:
        """Every fact that some open condition asks about, in the same order."""
        return in_order(self.trials.fact.values())

    def phrase(self, option_names: Mapping[str, str], tell: Sequence[str]) -> str:
        """What to say to a customer meanwhile; `tell` names the missing facts that can be told."""
        found = ways(self.trials, self.decision.slots)
        return phrase(self.trials, found, Words(option_names, self.scheme, dict(self._spelt())), tell)

    def _spelt(self) -> Iterator[tuple[tuple[str, str], str]]:
        """By fact and value, an option's value as its rule spells it, or a clause for any other fact."""
        for candidate in self.candidates:
            for weighed in (candidate.applies, *candidate.bars):
                yield from _spelt_by(weighed, open_tests(weighed, candidate, self.position))


def plainly_open(candidates: Iterable[Candidate]) -> bool:
    """A short cut for long lists: whether the answer is open at first sight. Nothing is excluded, so each
    application may still stand; and each asks for a single value of something that may have another, so
    none need stand. False where it takes a closer look."""
    return all(
        any(test.truth is _UNKNOWN and isinstance(test.limit, str) for test in candidate.applies.tests)
        and all(bar.truth is _FALSE for bar in candidate.bars)
        for candidate in candidates
        if candidate.truth is _UNKNOWN
    )


def _literal(test: Tested) -> Literal:
    # Without a scheme no single serial number ties two ranges together, so each range is open for itself.
    slot = f"{test.fact} {test.limit}" if test.fact == condition.NO_SCHEME else ""
    return Literal(test.fact, test.limit, slot)


def _spelt_by(weighed: Weighed, tests: Sequence[Tested]) -> Iterator[tuple[tuple[str, str], str]]:
    rule = weighed.rule
    for test in tests:
        if isinstance(test.limit, str):
            yield (test.fact, test.limit), _clause(rule, test)


def _clause(rule: Rule, test: Tested) -> str:
    fact = test.fact
    if fact.startswith(condition.OPTION):
        return dict(rule.options)[fact.removeprefix(condition.OPTION)]
    if fact == condition.NO_SCHEME:
        return f"it is an engine {condition.condition_text(rule, condition.SERIAL, {})}"
    if fact.startswith(BANK):
        return f"cylinder {fact.removeprefix(BANK)} is on bank {test.limit}"
    does = "excludes it" if rule.polarity == "excludes" else "takes it in"
    return f"application {rule.key}, once put right, {does}"
