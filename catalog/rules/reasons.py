"""Why the answer is what it is, in clauses a counter can read out.

When a part fits, the reasons are the conditions of the rule that applies it, and for every exclusion
the one condition that keeps it from holding. When it does not fit, they are the condition that failed
in each rule, or the exclusion that holds. When it cannot be told, they are the conditions left open.

>>> from datetime import date
>>> from catalog.rules.interval import DateInterval
>>> from catalog.rules.weighing import weigh
>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "bank", "A", 1, date(2014, 3, 1), None, None, None, ())
>>> facts = UnitFacts("V8-6", DateInterval.from_text("2013"), None, {})
>>> why = Wording(facts, None)
>>> print(why.falls(weigh([rule], facts, None))[0].text)
it is listed for engines built from 1 March 2014 on, but this one was built in 2013
>>> why = Wording(facts, None, scope="bank", position="B")
>>> print(why.falls(weigh([rule], facts, None, "bank", "B"))[0].text)
it is listed for bank A only, not for bank B
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from catalog.rules import condition
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.condition import Tested
from catalog.rules.kleene import Truth
from catalog.rules.serial import SerialScheme
from catalog.rules.territory import place_text
from catalog.rules.verdict import Missing, Reason, listed
from catalog.rules.weighing import POSITION, Candidate, Weighed

FAMILY, BANK = "family", "bank:"
_TRUE, _FALSE, _UNKNOWN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


class Wording:
    """The words for one engine and one question; the rules come with each call."""

    def __init__(
        self,
        facts: UnitFacts,
        scheme: SerialScheme | None,
        names: Mapping[str, str] = MappingProxyType({}),
        scope: str | None = None,
        position: str | None = None,
        lent: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        self.facts, self.scheme, self.names = facts, scheme, names
        self.scope, self.position, self.lent = scope, position, lent

    def stands(self, candidate: Candidate) -> tuple[Reason, ...]:
        """Why an application stands: its conditions, and what keeps each exclusion off."""
        found = [self._reason(candidate.applies.rule, test) for test in candidate.applies.tests]
        if not found:
            found.append(self._everywhere(candidate.applies.rule))
        for bar in candidate.bars:
            failed = [test for test in bar.tests if test.truth is _FALSE]
            if bar.reach is not _FALSE:
                found.append(self._reason(bar.rule, failed[0]))
            elif not failed and self.position is None:
                found.append(self._left_out(bar.rule))
        return _once(found)

    def falls(self, candidates: Iterable[Candidate]) -> tuple[Reason, ...]:
        """Why no application stands; also when there is none at all."""
        found = []
        for candidate in candidates:
            if candidate.applies.truth is _FALSE:
                failed = next(test for test in candidate.applies.tests if test.truth is _FALSE)
                found.append(self._reason(candidate.applies.rule, failed))
            for bar in candidate.bars:
                if bar.truth is _TRUE:
                    found += [self._reason(bar.rule, test) for test in bar.tests]
                    if not bar.tests:
                        found.append(self._everywhere(bar.rule))
        return _once(found)

    def waits(self, candidates: Iterable[Candidate]) -> tuple[Reason, ...]:
        """What is open in every application that is open."""
        found = []
        for candidate in candidates:
            if candidate.truth is _UNKNOWN:
                for weighed in (candidate.applies, *candidate.bars):
                    if weighed.truth is _UNKNOWN:
                        open_now = open_tests(weighed, candidate, self.position)
                        found += [self._reason(weighed.rule, test) for test in open_now]
        return _once(found)

    def either_way(
        self, facts: Sequence[str], truth: Truth, candidates: Sequence[Candidate]
    ) -> tuple[Reason, ...]:
        """Why it fits, or does not, although no single rule is known to say so: all outcomes agree."""
        open_facts = listed([self.missing(fact, candidates).text for fact in facts])
        taken = "one of its applications takes it in" if truth is _TRUE else "no application takes it in"
        text = f"whatever is found out about {open_facts}, {taken}"
        return (Reason("", "all outcomes agree", FAMILY, truth, text), *self.waits(candidates))

    def nothing_listed(self, rules: Sequence[Rule]) -> Reason:
        """No application at all: the part is not listed for this engine family."""
        part = rules[0].part if rules else "this part"
        text = f"no application lists {part} for engine family {self.facts.family}"
        return Reason("", f"engine family {self.facts.family}", FAMILY, _FALSE, text)

    def missing(self, fact: str, candidates: Iterable[Candidate]) -> Missing:
        """A fact to find out, in words; `candidates` hold the rule that a fact may be about."""
        facts = self.facts
        if fact == condition.SERIAL:
            text = "the engine serial number"
            if facts.serial:
                text += f" (what is recorded, '{facts.serial}', does not follow the scheme)"
        elif fact == condition.BUILT:
            text = "the exact build date" if facts.built.is_known else "the build date"
        elif fact.startswith(condition.OPTION):
            text = condition.option_text(fact.removeprefix(condition.OPTION), self.names)
        elif fact == condition.NO_SCHEME:
            text = f"a serial scheme for engine family {facts.family}, and the engine serial number"
        elif fact.startswith(BANK):
            text = f"the bank cylinder {fact.removeprefix(BANK)} is on"
        else:
            text = self._to_correct(fact, candidates)
        return Missing(fact, text)

    def _to_correct(self, fact: str, candidates: Iterable[Candidate]) -> str:
        """What has to be put right in the catalogue, for a fact about one rule."""
        kind, _, key = fact.partition(":")
        found = (each.rule for one in candidates for each in (one.applies, *one.bars))
        rule = next((rule for rule in found if rule.key == key), None)
        if f"{kind}:" == condition.BROKEN:
            what = rule.broken if rule else ""
            return f"application {key} put right in the catalogue ({what})"
        what = condition.limits_fault(rule, self.scheme) if rule and self.scheme else "not readable now"
        return f"readable serial limits in application {key} ({what})"

    def _reason(self, rule: Rule, test: Tested) -> Reason:
        says = self._says(rule)
        if test.fact.startswith(condition.BROKEN):
            text = f"application {rule.key} contradicts itself and has to be put right ({rule.broken})"
            return Reason(rule.key, "a rule without contradiction", test.fact, test.truth, text)
        if test.fact == POSITION:
            here = place_text(rule.scope, rule.position or None)
            asked = place_text(self.scope or rule.scope, self.position)
            return Reason(rule.key, here, POSITION, test.truth, f"{says} for {here} only, not for {asked}")
        if test.fact.startswith(BANK):
            here = place_text(rule.scope, rule.position)
            text = f"{says} for {here}, and {self.missing(test.fact, ()).text} is not known"
            return Reason(rule.key, here, test.fact, test.truth, text)
        asks = condition.condition_text(rule, test.fact, self.names)
        has = condition.fact_text(rule, self.facts, test, self.scheme, self.names)
        word = "but" if test.truth is _FALSE else "and"
        return Reason(rule.key, asks, test.fact, test.truth, f"{says} for engines {asks}, {word} {has}")

    def _everywhere(self, rule: Rule) -> Reason:
        every = f"every engine of family {rule.family}"
        return Reason(rule.key, every, FAMILY, _TRUE, f"{self._says(rule)} for {every}")

    def _left_out(self, rule: Rule) -> Reason:
        here = place_text(rule.scope, rule.position or None)
        text = f"{self._says(rule)} for {here}, which leaves the rest of the engine"
        return Reason(rule.key, here, POSITION, _FALSE, text)

    def _says(self, rule: Rule) -> str:
        lender = self.lent.get(rule.key)
        who = f"{lender}, which serves alike," if lender else "it"
        return f"{who} is {'listed' if rule.polarity == 'applies' else 'excluded'}"


def _once(found: list[Reason]) -> tuple[Reason, ...]:
    """Each reason once; there is nearly always only one."""
    return tuple(found) if len(found) == 1 else tuple(dict.fromkeys(found))


def open_tests(weighed: Weighed, candidate: Candidate, position: str | None) -> list[Tested]:
    """The conditions of a rule that are not known, its reach included; `position` as asked about."""
    found = [test for test in weighed.tests if test.truth is _UNKNOWN]
    if weighed.reach is _UNKNOWN:
        cylinder = position or candidate.applies.rule.position or ""
        found.append(Tested(BANK + cylinder, _UNKNOWN, weighed.rule.position or ""))
    return found
