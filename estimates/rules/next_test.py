"""Which test next: the three that settle most for the minutes they take.

Every test not yet taken, at every place, would come out good or bad with a chance that follows from the
weighted diagnoses; so it removes a known amount of uncertainty on average. Divided by its minutes, access not
yet open included, that ranks the tests. One cover is off already, so a test under it costs its own minutes.

Enough is known when no test could change what would be quoted. Such tests are not proposed, however much they
would tell. Before anything was read bad, the complaint itself is taken to be one fault, in a component that
no good reading has cleared.

A lamp that stays dark leaves a fuse and a relay suspected, which each have a test:

>>> from decimal import Decimal
>>> from catalog.cards import FamilyCard, PositionCard
>>> from catalog.service_cards import ComponentCard, TestPointCard
>>> from estimates.rules.intake import ReadingIn
>>> from estimates.rules.judging import assess
>>> from estimates.rules.measured import Measured
>>> engine = PositionCard("engine", "engine", None)
>>> parts = {code: ComponentCard(code, code, "engine", None, Decimal(1)) for code in ("fuse", "relay")}
>>> def lamp(code, minutes, *path):
...     return TestPointCard(code, code, "engine", "lamp", "", None, None, "on", None, None, None, minutes,
...         minutes, "", path, (), ())
>>> cards = (lamp("output", 3, "fuse", "relay"), lamp("over the fuse", 2, "fuse"),
...     lamp("over the relay", 5, "relay"))
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> book = ServiceBook(family, parts, {}, {card.code: card for card in cards}, {}, {})
>>> dark = [ReadingIn("output", engine, Measured("off"), "lamp off")]
>>> advice = next_tests(book, assess(book, dark, []), [])
>>> for test in advice.tests:
...     print(test.card.name, test.minutes, "min", round(test.bits, 1), "bit", test.good.text)
over the fuse 2 min 1.0 bit At fault: relay; sound: fuse.
over the relay 5 min 1.0 bit At fault: fuse; sound: relay.

Source: J. de Kleer, B. C. Williams, "Diagnosing Multiple Faults", Artificial Intelligence 32 (1987) 97-130.
"""

from __future__ import annotations

from collections.abc import Sequence

from catalog.service_cards import ServiceBook
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.intake import FactorIn, JudgedIn
from estimates.rules.judging import Assessment
from estimates.rules.next_test_advice import Advice, NextTest, Suspect, suspects, verdict_of
from estimates.rules.next_test_candidates import Candidate, complaint, telling
from estimates.rules.next_test_odds import Odds, uncertainty
from estimates.rules.next_test_settles import Known, settles

__all__ = ["Advice", "NextTest", "Suspect", "next_tests"]

MOST = 3


def next_tests(
    book: ServiceBook,
    assessment: Assessment,
    judged: Sequence[JudgedIn],
    factors: Sequence[FactorIn] = (),
) -> Advice:
    """The best tests to take next, or why none. `judged` are a person's findings; `factors` make steps of
    teardown slower on this job."""
    by_hand = {ComponentAt(one.component, one.place.code): one.standing for one in judged}
    now = Known.of(book, assessment.evidence, by_hand)
    groups = assessment.diagnosis.groups
    by_complaint = (
        not groups
        and not assessment.diagnosis.contradictions
        and all(one.standing == "advisory" for one in judged)
    )
    if by_complaint:
        groups = complaint(book, now.sifted.cleared)
    odds = Odds(groups)
    best = _best(telling(book, assessment, odds, factors), now)
    verdict, reason = verdict_of(best, now, assessment, by_complaint=by_complaint)
    return Advice(
        verdict=verdict,
        reason=reason,
        tests=tuple(best),
        suspects=suspects(book, odds.of_each()),
        bits=uncertainty(groups),
        by_complaint=by_complaint,
        cut_short=not all(group.complete for group in groups),
        again=tuple(
            reading.text
            for reading in assessment.evidence
            if reading.outcome == "unclear" and 0 < odds.of_bad(reading.path) < 1
        ),
    )


def _best(ranked: Sequence[Candidate], now: Known) -> list[NextTest]:
    """The best tests that could change what is quoted, each of a test point of its own."""
    best: dict[str, NextTest] = {}
    for one in ranked:
        if one.card.code in best:
            continue
        test = _worked_out(one, ranked, now)
        if test.changes_quote:
            best[one.card.code] = test
            if len(best) == MOST:
                break
    return list(best.values())


def _worked_out(one: Candidate, ranked: Sequence[Candidate], now: Known) -> NextTest:
    return NextTest(
        card=one.card,
        place=one.place,
        path=one.path,
        minutes=one.minutes,
        opens=one.opens,
        uses=one.uses,
        bits=one.bits,
        per_minute=one.per_minute,
        good=settles(now, one.path, "good", 1 - one.chance),
        bad=settles(now, one.path, "bad", one.chance),
        also_at=tuple(
            other.place
            for other in ranked
            if other.card is one.card
            and other is not one
            and (other.minutes, other.bits) == (one.minutes, one.bits)
        ),
    )
