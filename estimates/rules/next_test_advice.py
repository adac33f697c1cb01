"""What is said about the next test: the best three, what is suspected how strongly, or why no test helps.

A relay that is at fault in diagnoses of three quarters of the weight is suspected to 75 percent:

>>> round(Suspect(ComponentAt("relay", "engine"), "relay", PositionCard("engine", "engine", None),
...     Fraction(3, 4), Decimal(15)).percent)
75
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.judging import Assessment
from estimates.rules.next_test_settles import Known, Settles, in_order, in_words
from estimates.rules.plan import NeedAt, StepAt
from shop.rules.rounding import round_half_up

LONGEST = 6
Verdict = Literal["test", "enough", "no test left", "measure again"]


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test worth taking. `minutes` include `opens`, the access not yet open; `uses` are parts it uses up.

    `bits` is the entropy it removes on average, `per_minute` that over its minutes (of at least one).
    `also_at` are other places of the same test point that would tell as much in the same time.
    """

    card: TestPointCard
    place: PositionCard
    path: frozenset[ComponentAt]
    minutes: int
    opens: tuple[StepAt, ...]
    uses: tuple[NeedAt, ...]
    bits: Decimal
    per_minute: Decimal
    good: Settles
    bad: Settles
    also_at: tuple[PositionCard, ...] = ()

    @property
    def changes_quote(self) -> bool:
        return self.good.changes_quote or self.bad.changes_quote


@dataclass(frozen=True, slots=True)
class Suspect:
    """A component that may be at fault: its chance among the diagnoses, and the relative likelihood on record
    that the chance rests on."""

    at: ComponentAt
    name: str
    place: PositionCard
    chance: Fraction
    likelihood: Decimal

    @property
    def percent(self) -> Decimal:
        return round_half_up(self.chance * 100, 0)


@dataclass(frozen=True)
class Advice:
    """`tests` are at most three, the best first, of different test points; none unless the verdict is "test".

    `bits` is the entropy of the diagnoses now. `by_complaint`: nothing was read bad yet. `cut_short`: further
    diagnoses are not counted. `again` names tests too close to call whose outcome would tell something.
    """

    verdict: Verdict
    reason: str
    tests: tuple[NextTest, ...]
    suspects: tuple[Suspect, ...]
    bits: Decimal
    by_complaint: bool
    cut_short: bool
    again: tuple[str, ...]


def suspects(book: ServiceBook, chances: Mapping[ComponentAt, Fraction]) -> tuple[Suspect, ...]:
    """Every component that may be at fault, the likeliest first."""
    found = []
    for at in in_order(book, chances):
        place = book.family.position(at.position)
        assert place is not None
        card = book.components[at.component]
        found.append(Suspect(at, card.name, place, chances[at], card.likelihood))
    return tuple(sorted(found, key=lambda suspect: -suspect.chance))


def verdict_of(
    tests: Sequence[NextTest], now: Known, assessment: Assessment, *, by_complaint: bool
) -> tuple[Verdict, str]:
    """Whether to test on, and why in words."""
    book = now.book
    left = in_order(book, (at for at, standing in now.standing.items() if standing == "suspected"))
    if tests and by_complaint:
        return "test", (
            "nothing was read bad yet: the complaint is taken to be one fault, in a component that no good "
            "reading has cleared"
        )
    if tests:
        return "test", f"which of these is at fault is open: {_shortened(book, left)}"
    if assessment.diagnosis.contradictions and not left:
        return "measure again", "the readings contradict each other: measure those again before any other"
    if left:
        return "no test left", (
            f"no test on record could narrow down {_shortened(book, left)}: "
            "their repairs are quoted only if found on opening"
        )
    if by_complaint:
        return "no test left", "nothing was read bad, and no test is left that could find a fault"
    if now.standing:
        named = _shortened(book, in_order(book, now.standing))
        return "enough", f"every bad reading is accounted for by {named}; no test could change what is quoted"
    return "enough", "nothing was read bad; what was found by hand decides what is quoted"


def _shortened(book: ServiceBook, components: Sequence[ComponentAt]) -> str:
    names = {at.component for at in components}
    if len(names) <= LONGEST:
        return in_words(book, components)
    shown = list(dict.fromkeys(at.component for at in components))[: LONGEST - 1]
    words = in_words(book, [at for at in components if at.component in shown])
    return f"{words}, and {len(names) - len(shown)} further components"
