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
...     assessment, tasks = assess(book, readings, []), Tasks(book)
...     groups = complaint(book, frozenset())
...     return [(c.place.code, c.minutes, c.chance)
...         for c in telling(assessment, groups, tasks, carried_out(assessment, tasks))]
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
from estimates.rules.judging import Assessment, path_at
from estimates.rules.next_test_odds import bits_told, chance_of_bad
from estimates.rules.plan import Item, NeedAt, Task
from estimates.rules.tasks import Tasks
from estimates.rules.workload import Workload, added, workload


@dataclass(frozen=True, slots=True)
class Candidate:
    """A test at one place, the chance that it is bad, and what it takes and tells."""

    card: TestPointCard
    place: PositionCard
    path: frozenset[ComponentAt]
    chance: Fraction
    task: Task
    minutes: int
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


def carried_out(assessment: Assessment, tasks: Tasks) -> Workload:
    """The tests taken before the repair, and the access they opened."""
    done = tuple(
        tasks.test(tasks.book.test_points[one.reading.test_point], one.reading.place)
        for one in assessment.readings
        if one.reading.phase == "before"
    )
    return workload([as_item(done)], tasks.steps)


def as_item(tasks: tuple[Task, ...]) -> Item:
    return Item("tests", "firm", "Tests", (), tasks)


def telling(assessment: Assessment, groups: Sequence[Group], tasks: Tasks, base: Workload) -> list[Candidate]:
    """The tests not taken whose outcome is not certain already, the most telling per minute first."""
    book = tasks.book
    taken = {one.reading.key for one in assessment.readings if one.reading.phase == "before"}
    found = []
    for card in book.test_points.values():
        for place in book.family.of_scope(card.scope):
            path = path_at(book, card, place)
            chance = chance_of_bad(groups, path)
            if f"{card.code}@{place.code}" in taken or not 0 < chance < 1:
                continue
            task = tasks.test(card, place)
            more = added(as_item((task,)), base, tasks.steps)
            found.append(
                Candidate(card, place, path, chance, task, more.minutes, more.needs, bits_told(chance))
            )
    return sorted(found, key=lambda one: (-one.per_minute, one.minutes))
