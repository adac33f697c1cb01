"""Does this part fit this engine: it fits, it does not, or it cannot be told yet. Never a guess.

The part's rules are held against what is known of the engine. A rule holds when all its conditions
are met. The part fits when a rule that applies it holds, and every rule that excludes it is known not
to. It does not fit when no rule applies it (every one is known not to hold), or one that excludes it
holds. Anything else cannot be told yet, and the answer says what has to be found out. All of it is
Kleene's three-valued logic, so an answer once given stays when more is learnt about the engine.

>>> from datetime import date
>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, date(2014, 3, 1), None,
...             None, None, (("connector", "9-way"),))
>>> facts = UnitFacts("V8-6", DateInterval.from_text("2014"), None, {"connector": "9-way"})
>>> verdict = judge([rule], facts, None)
>>> print(sentence(verdict))
Whether it fits cannot be told yet: that needs the exact build date.
>>> print(verdict.reasons[0].text)
it is listed for engines built from 1 March 2014 on, and this one was built in 2014, which leaves it open
>>> known_better = UnitFacts("V8-6", DateInterval.from_text("2014-05"), None, {"connector": "9-way"})
>>> judge([rule], known_better, None).outcome
'fits'

Where a position is asked about, only the rules that speak of it count (module territory); a rule for
another place counts as not holding. Asked about the engine as a whole, the part fits when it fits
somewhere: an exclusion for one place leaves the others. What is open may be settled without ever
being noticed as such: rules for serials up to 499 and from 500 on together cover every engine, yet
with the serial unknown neither of them is known to hold. It is told as open; nobody is misled by it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from catalog.rules import condition
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.condition import Tested
from catalog.rules.interval import DateInterval
from catalog.rules.kleene import Truth, any_of
from catalog.rules.missing import Case, Literal, smallest
from catalog.rules.reasons import Wording, open_tests
from catalog.rules.serial import SerialScheme
from catalog.rules.verdict import Missing, Outcome, Reason, Verdict, sentence
from catalog.rules.weighing import Candidate, weigh

__all__ = [
    "DateInterval",
    "Missing",
    "Outcome",
    "Reason",
    "Rule",
    "UnitFacts",
    "Verdict",
    "judge",
    "outcome",
    "sentence",
]

_TRUE, _FALSE, _UNKNOWN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN
_OUTCOMES: dict[Truth, Outcome] = {_TRUE: "fits", _FALSE: "does not fit", _UNKNOWN: "cannot tell"}
_NONE: Mapping[str, str] = MappingProxyType({})


def judge(
    rules: Sequence[Rule],
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None = None,
    scope: str | None = None,
    option_names: Mapping[str, str] = _NONE,
    bank_of: Mapping[str, str] = _NONE,
) -> Verdict:
    """The verdict on one part (or on parts that serve alike), given all its rules, for one engine.

    Rules for other families are passed over. `position` is the code of the place asked about and
    `scope` what kind of place it is; None leaves either open. `option_names` gives the words for an
    option, `bank_of` the bank each cylinder is on (only exclusions for one bank ask for it).
    Never raises for what is unknown or cannot be read: that is "cannot tell", with the reason.
    """
    if scope is None and position in bank_of:
        scope = "cylinder"
    candidates = weigh(rules, facts, scheme, scope, position, bank_of)
    wording = Wording(facts, scheme, option_names, scope, position)
    if not candidates:
        return Verdict("does not fit", (wording.nothing_listed(rules),), (), None)
    truth = any_of([candidate.truth for candidate in candidates])
    if truth is _FALSE:
        return Verdict("does not fit", wording.falls(candidates), (), None)
    if truth is _UNKNOWN:
        return Verdict("cannot tell", wording.waits(candidates), _missing(candidates, wording), None)
    standing = next(candidate for candidate in candidates if candidate.truth is _TRUE)
    reasons = wording.stands(standing)
    quantities = _quantities(candidates, position)
    if len(quantities) > 1:
        several = " or ".join(str(quantity) for quantity in quantities)
        text = f"how many per position is open: the applications give {several}"
        reasons += (Reason(standing.applies.rule.key, "one quantity", "quantity", _UNKNOWN, text),)
    return Verdict("fits", reasons, (), quantities[0] if len(quantities) == 1 else None)


def outcome(
    rules: Sequence[Rule],
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None = None,
    scope: str | None = None,
    bank_of: Mapping[str, str] = _NONE,
) -> Outcome:
    """The bare answer of `judge`, several times faster: for sorting through long lists of parts, where
    the reasons are asked for afterwards, for the few that are shown."""
    if scope is None and position in bank_of:
        scope = "cylinder"
    candidates = weigh(rules, facts, scheme, scope, position, bank_of)
    return _OUTCOMES[any_of([candidate.truth for candidate in candidates])]


def _quantities(candidates: Sequence[Candidate], position: str | None) -> list[int]:
    """The quantities still possible: a rule for the one place asked about goes before one for all places."""
    candidates = [candidate for candidate in candidates if candidate.truth is not _FALSE]
    if position is not None:
        limited = [candidate for candidate in candidates if candidate.applies.rule.position]
        if any(candidate.truth is _TRUE for candidate in limited):
            candidates = limited
    return sorted({candidate.applies.rule.quantity for candidate in candidates})


def _missing(candidates: Iterable[Candidate], wording: Wording) -> tuple[Missing, ...]:
    cases = []
    for candidate in candidates:
        if candidate.truth is _UNKNOWN:
            demands, *bars = (
                tuple(_literal(test) for test in open_tests(weighed, candidate, wording.position))
                for weighed in (candidate.applies, *candidate.bars)
                if weighed.truth is not _FALSE
            )
            cases.append(Case(demands, tuple(bars)))
    facts = {literal.fact for case in cases for part in (case.demands, *case.bars) for literal in part}
    domains = {
        fact: condition.domain(fact, wording.facts, wording.scheme)
        for fact in facts & {condition.BUILT, condition.SERIAL}
    }
    return tuple(wording.missing(fact) for fact in smallest(cases, domains))


def _literal(test: Tested) -> Literal:
    # Without a scheme no single serial number ties two ranges together, so each range is open for itself.
    slot = f"{test.fact} {test.limit}" if test.fact == condition.NO_SCHEME else ""
    return Literal(test.fact, test.limit, slot)
