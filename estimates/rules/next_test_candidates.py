"""Which tests could be taken next: not tried yet, with an outcome that is not certain already.

A test's minutes are its own, for the first position or a further one, and those of the access that the tests
carried out have not opened yet. Two plugs under one cover, one of them measured: the other takes 2 minutes.

>>> from catalog.cards import FamilyCard
>>> from catalog.service_cards import ComponentCard, StepCard
>>> from estimates.rules.intake import ReadingIn
>>> from estimates.rules.judging import assess
>>> from estimates.rules.measured import Measured
>>> engine = PositionCard("engine", "engine", None)
>>> one, two = (PositionCard(code, "cylinder", None) for code in "12")
>>> ohms = TestPointCard("ohms", "resistance", "cylinder", "number", "Ohm", None, Decimal(1), "", None, None,
...     None, 5, 2, "", ("plug",), ("cover",), ())
>>> family = FamilyCard("i2", "Twin", 2, None, {}, {}, (engine, one, two))
>>> cover = StepCard("cover", "Cover off and on", "engine", 30, (), (), ())
>>> plug = ComponentCard("plug", "plug", "cylinder", None, Decimal(3))
>>> book = ServiceBook(family, {"plug": plug}, {"cover": cover}, {"ohms": ohms}, {}, {})
>>> def untried(*readings):
...     found = telling(book, assess(book, readings, []), Odds(complaint(book, frozenset())))
...     return [(c.place.code, c.minutes, c.chance) for c in found]
>>> untried()
[('1', 35, Fraction(1, 2)), ('2', 35, Fraction(1, 2))]
>>> untried(ReadingIn("ohms", one, Measured("number", Decimal("0.6")), "0.6"))
[('2', 2, Fraction(1, 2))]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.rules.diagnosis import ComponentAt, Group, WeightedDiagnosis
from estimates.rules.factors import slowed
from estimates.rules.intake import FactorIn
from estimates.rules.judging import Assessment, path_at
from estimates.rules.next_test_odds import Odds, bits_told
from estimates.rules.plan import Item, NeedAt, StepAt, Task
from estimates.rules.tasks import Tasks
from estimates.rules.workload import added, newly_opened, workload


@dataclass(frozen=True, slots=True)
class Candidate:
    """A test at one place, the chance that it is bad, and what it takes and tells."""

    card: TestPointCard
    place: PositionCard
    path: frozenset[ComponentAt]
    chance: Fraction
    minutes: int
    opens: tuple[StepAt, ...]
    uses: tuple[NeedAt, ...]
    bits: Decimal

    @property
    def per_minute(self) -> Decimal:
        """Bits over minutes; a test that takes none is ranked as if it took one."""
        return self.bits / max(self.minutes, 1)


def complaint(book: ServiceBook, cleared: frozenset[ComponentAt]) -> tuple[Group, ...]:
    """One fault somewhere, as likely in each component as its likelihood says; good readings clear."""
    weights = {
        at: Fraction(card.likelihood)
        for card in book.components.values()
        for place in book.family.of_scope(card.scope)
        if (at := ComponentAt(card.code, place.code)) not in cleared
    }
    whole = sum(weights.values())
    if not weights:
        return ()
    single = [WeightedDiagnosis(frozenset({at}), weight / whole, 1) for at, weight in weights.items()]
    single.sort(key=lambda diagnosis: -diagnosis.weight)
    return (Group(1, frozenset(weights), tuple(single), complete=True),)


def telling(
    book: ServiceBook, assessment: Assessment, odds: Odds, factors: Sequence[FactorIn] = ()
) -> list[Candidate]:
    """The tests not taken whose outcome is not certain already, the most telling per minute first.

    `factors` make steps of teardown slower on this one job.
    """
    tasks = Tasks(book)
    done = {
        one.reading.key: tasks.test(book.test_points[one.reading.test_point], one.reading.place)
        for one in assessment.readings
        if one.reading.phase == "before"
    }
    open_ones = [
        (card, place, path, chance, tasks.test(card, place))
        for card in book.test_points.values()
        for place in book.family.of_scope(card.scope)
        if f"{card.code}@{place.code}" not in done
        and 0 < (chance := odds.of_bad(path := path_at(book, card, place))) < 1
    ]
    steps = slowed(tasks.steps, factors)[0] if factors else tasks.steps
    base = workload([_as_item(tuple(done.values()))], steps)
    found = []
    for card, place, path, chance, task in open_ones:
        more = added(_as_item((task,)), base, steps)
        opens = tuple(
            step
            for step in newly_opened(task, base.opened, steps)
            if not step.key.startswith("first:")  # the first position's own minutes, no teardown
        )
        found.append(Candidate(card, place, path, chance, more.minutes, opens, more.needs, bits_told(chance)))
    return sorted(found, key=lambda one: (-one.per_minute, one.minutes))


def _as_item(tasks: tuple[Task, ...]) -> Item:
    return Item("tests", "firm", "Tests", (), tasks)
