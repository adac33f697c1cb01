"""Parts that serve alike lend one another their applications.

Two makers' plugs are kept as one interchange group: either may be fitted where the other may. The catalogue
often lists only one of them for an engine. Then the other fits by interchange, and the answer says whose
application it rests on. Precisely, for one engine family:

- A part with an application of its own there is judged by its own rules alone: they were written for it,
  and may be narrower on purpose.
- A part without one is judged by the applications of every other member of its group, each with that
  member's own exclusions. It fits where one of these stands, or where all of them together leave nothing out.
- Its own exclusions always count, against every application that is lent to it.

Each way the unknown facts may turn out is looked at as in `judge`, so learning more never turns a verdict.

>>> from catalog.rules.interval import DateInterval
>>> from catalog.rules.verdict import sentence
>>> listed = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ())
>>> facts = UnitFacts("V8-6", DateInterval(), None, {})
>>> verdict = judge_with_interchange([], {"Teal GX-1042": [listed]}, facts, None)
>>> print(sentence(verdict), verdict.by_interchange)
It fits: Teal GX-1042, which serves alike, is listed for every engine of family V8-6. ('Teal GX-1042',)
>>> barred = Rule("X1", "HB-7", "V8-6", "excludes", "cylinder", None, 1, None, None, None, None, ())
>>> judge_with_interchange([barred], {"Teal GX-1042": [listed]}, facts, None).outcome
'does not fit'
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from catalog.rules.application import Rule, UnitFacts
from catalog.rules.fitment import OUTCOMES, judge, outcome, told, truth_of
from catalog.rules.kleene import Truth
from catalog.rules.reasons import Wording
from catalog.rules.serial import SerialScheme
from catalog.rules.verdict import Outcome, Verdict
from catalog.rules.weighing import Candidate, weigh

_NONE: Mapping[str, str] = MappingProxyType({})
Lenders = Mapping[str, Sequence[Rule]]
"""By the name shown for it, each other member of the interchange group with all its rules."""


def lends(rules: Iterable[Rule], family: str) -> bool:
    """Whether a part with these rules has an application of its own for the family: it needs no lender,
    and may be one."""
    return any(rule.family == family and rule.polarity != "excludes" for rule in rules)


def judge_with_interchange(
    rules: Sequence[Rule],
    lenders: Lenders,
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None = None,
    scope: str | None = None,
    option_names: Mapping[str, str] = _NONE,
    bank_of: Mapping[str, str] = _NONE,
) -> Verdict:
    """The verdict on one part, given its own rules and those of the parts that serve alike with it.

    As `judge` in everything else; `lenders` may be empty, and members without an application for the family
    are passed over. `Verdict.by_interchange` names the members whose applications still count (all that
    were looked at, for "does not fit"); it is empty where its own rules decide.
    """
    lending = _lending(rules, lenders, facts.family)
    if not lending:
        return judge(rules, facts, scheme, position, scope, option_names, bank_of)
    if scope is None and position in bank_of:
        scope = "cylinder"
    by_lender = _weighed(rules, lending, facts, scheme, position, scope, bank_of)
    lent = {rule.key: name for name, of_member in lending.items() for rule in of_member}
    wording = Wording(facts, scheme, option_names, scope, position, lent)
    verdict = told([candidate for found in by_lender.values() for candidate in found], wording)
    counting = tuple(
        name
        for name, found in by_lender.items()
        if any(candidate.truth is not Truth.FALSE for candidate in found)
    )
    return replace(verdict, by_interchange=counting or tuple(lending))


def outcome_with_interchange(
    rules: Sequence[Rule],
    lenders: Lenders,
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None = None,
    scope: str | None = None,
    bank_of: Mapping[str, str] = _NONE,
) -> Outcome:
    """The bare answer of `judge_with_interchange`, for sorting through long lists of parts."""
    lending = _lending(rules, lenders, facts.family)
    if not lending:
        return outcome(rules, facts, scheme, position, scope, bank_of)
    if scope is None and position in bank_of:
        scope = "cylinder"
    by_lender = _weighed(rules, lending, facts, scheme, position, scope, bank_of)
    candidates = [candidate for found in by_lender.values() for candidate in found]
    return OUTCOMES[truth_of(candidates, facts, scheme, position)]


def _lending(rules: Sequence[Rule], lenders: Lenders, family: str) -> Lenders:
    if not lenders or lends(rules, family):
        return {}
    return {name: of_member for name, of_member in lenders.items() if lends(of_member, family)}


def _weighed(
    rules: Sequence[Rule],
    lending: Lenders,
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None,
    scope: str | None,
    bank_of: Mapping[str, str],
) -> dict[str, list[Candidate]]:
    return {
        name: weigh([*of_member, *rules], facts, scheme, scope, position, bank_of)
        for name, of_member in lending.items()
    }
