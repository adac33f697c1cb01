"""Does this part fit this engine: it fits, it does not, or it cannot be told yet. Never a guess.

The part's rules are held against what is known of the engine. A rule holds when all its conditions
are met. The part fits when a rule that applies it holds, and every rule that excludes it is known not
to. It does not fit when no rule applies it (every one is known not to hold), or one that excludes it
holds. Where that leaves it open (Kleene's three-valued logic), every way the unknown facts may turn out
is looked at: if all of them come to the same answer, that is the answer; else it cannot be told yet, and
the answer says what has to be found out, and on what it will depend.

>>> from datetime import date
>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, date(2014, 6, 1), None,
...             None, None, (("connector", "9-way"),))
>>> facts = UnitFacts("V8-6", DateInterval.from_text("2014"), None, {"connector": "9-way"})
>>> verdict = judge([rule], facts, None)
>>> print(sentence(verdict))
Whether it fits cannot be told yet: that needs the exact build date.
>>> print(verdict.reasons[0].text)
it is listed for engines built from 1 June 2014 on, and this one was built in 2014, which leaves it open
>>> print(verdict.fits_if)
fits if the engine was built in June 2014 or later; tell us the exact build date
>>> known_better = UnitFacts("V8-6", DateInterval.from_text("2014-07"), None, {"connector": "9-way"})
>>> judge([rule], known_better, None).outcome
'fits'

So the verdict is exactly what trying every engine it may be would say: "fits" when the part fits every one
of them, "does not fit" when it fits none, else "cannot tell". An unknown build date may be any day, an
unknown serial number any number of the scheme, an unknown option any value, also one nobody has listed.
Learning more leaves fewer engines it may be, so an answer once given stays.

Where a position is asked about, only the rules that speak of it count (module territory); a rule for
another place counts as not holding. Asked about the engine as a whole, the part fits when it fits
somewhere: an exclusion for one place leaves the others, and exclusions that take every single place away
one by one are not added up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from catalog.rules import condition
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.interval import DateInterval
from catalog.rules.kleene import Truth, any_of
from catalog.rules.open_question import Open, plainly_open
from catalog.rules.reasons import Wording
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
    "outcome_and_quantity",
    "sentence",
    "told",
    "truth_of",
]

_TRUE, _FALSE, _UNKNOWN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN
OUTCOMES: dict[Truth, Outcome] = {_TRUE: "fits", _FALSE: "does not fit", _UNKNOWN: "cannot tell"}
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
    return told(candidates, wording)


def told(candidates: Sequence[Candidate], wording: Wording) -> Verdict:
    """The verdict on rules already held against the engine, at least one, in the words of `wording`."""
    truth = any_of([candidate.truth for candidate in candidates])
    reasons: tuple[Reason, ...]
    if truth is _UNKNOWN:
        open_now = Open(candidates, wording.facts, wording.scheme, wording.position)
        truth = open_now.decision.truth
        if truth is _UNKNOWN:
            missing = tuple(wording.missing(fact, candidates) for fact in open_now.missing)
            tell = [fact.text for fact in missing if _can_be_told(fact.fact)]
            fits_if = open_now.phrase(wording.names, tell)
            return Verdict("cannot tell", wording.waits(candidates), missing, None, fits_if)
        reasons = wording.either_way(open_now.named, truth, candidates)
    elif truth is _FALSE:
        reasons = wording.falls(candidates)
    else:
        reasons = wording.stands(next(candidate for candidate in candidates if candidate.truth is _TRUE))
    if truth is _FALSE:
        return Verdict("does not fit", reasons, (), None)
    quantities = _quantities(candidates, wording.position)
    if len(quantities) > 1:
        several = " or ".join(str(quantity) for quantity in quantities)
        text = f"how many per position is open: the applications give {several}"
        reasons += (Reason(reasons[0].rule, "one quantity", "quantity", _UNKNOWN, text),)
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
    return OUTCOMES[truth_of(candidates, facts, scheme, position)]


def outcome_and_quantity(
    rules: Sequence[Rule],
    facts: UnitFacts,
    scheme: SerialScheme | None,
    position: str | None = None,
    scope: str | None = None,
    bank_of: Mapping[str, str] = _NONE,
) -> tuple[Outcome, int | None]:
    """As `outcome`, with the quantity per position of a part that fits (see `Verdict.quantity`)."""
    if scope is None and position in bank_of:
        scope = "cylinder"
    candidates = weigh(rules, facts, scheme, scope, position, bank_of)
    truth = truth_of(candidates, facts, scheme, position)
    quantities = _quantities(candidates, position) if truth is _TRUE else []
    return OUTCOMES[truth], quantities[0] if len(quantities) == 1 else None


def truth_of(
    candidates: Sequence[Candidate], facts: UnitFacts, scheme: SerialScheme | None, position: str | None
) -> Truth:
    """Whether some application stands, however what is open may turn out."""
    truth = any_of([candidate.truth for candidate in candidates])
    if truth is not _UNKNOWN or plainly_open(candidates):
        return truth
    return Open(candidates, facts, scheme, position).decision.truth


def _can_be_told(fact: str) -> bool:
    """By a person in front of the engine; the rest is for whoever keeps the catalogue."""
    return fact in (condition.SERIAL, condition.BUILT) or fact.startswith(condition.OPTION)


def _quantities(candidates: Sequence[Candidate], position: str | None) -> list[int]:
    """The quantities still possible: a rule for the one place asked about goes before one for all places."""
    candidates = [candidate for candidate in candidates if candidate.truth is not _FALSE]
    if position is not None:
        limited = [candidate for candidate in candidates if candidate.applies.rule.position]
        if any(candidate.truth is _TRUE for candidate in limited):
            candidates = limited
    return sorted({candidate.applies.rule.quantity for candidate in candidates})
