"""Which readings to take after the repair: what was not good before, and what shows that the repair took.

A reading that was bad is taken again at the same place. So is every reading that ran through what is
repaired, good or not. Where nothing was measured through it, the shortest test that would show it is taken:
the one with the fewest components in its path, then the quickest.

A relay is replaced whose lamp test stayed dark:

>>> from decimal import Decimal
>>> from catalog.cards import FamilyCard
>>> from catalog.service_cards import ComponentCard, OperationCard
>>> from estimates.rules.intake import ReadingIn
>>> from estimates.rules.judging import assess
>>> from estimates.rules.measured import Measured
>>> from estimates.rules.tasks import Tasks
>>> engine = PositionCard("engine", "engine", None)
>>> relay = ComponentCard("relay", "glow relay", "engine", None, Decimal(1))
>>> lamp = TestPointCard("lamp", "lamp at the relay", "engine", "lamp", "", None, None, "on", None, None,
...     None, 5, 5, "", ("relay",), (), ())
>>> change = OperationCard("change", "Change", "engine", "relay", 1, "", 8, 8, False, (), (), (), ())
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> book = ServiceBook(family, {"relay": relay}, {}, {"lamp": lamp}, {"change": change}, {})
>>> before = assess(book, [ReadingIn("lamp", engine, Measured("off"), "lamp off")], []).readings
>>> for again in readings_after(book, [Tasks(book).operation(change, engine)], before):
...     print(again.test.name, again.place.label, again.before.reading.shown)
lamp at the relay the engine lamp off
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.rules.evidence import ComponentAt
from estimates.rules.judging import Judged, path_at, path_of
from estimates.rules.plan import Task


@dataclass(frozen=True, slots=True)
class ReadingAfter:
    """A reading to take after the repair, beside the one before and one after, where they were taken."""

    test: TestPointCard
    place: PositionCard
    before: Judged | None = None
    after: Judged | None = None


def readings_after(
    book: ServiceBook, tasks: Iterable[Task], taken: Sequence[Judged]
) -> tuple[ReadingAfter, ...]:
    """The readings to take once these tasks are done, in the order of the test points and places."""
    mended = repaired(book, tasks)
    before = {one.reading.key: one for one in taken if one.reading.phase == "before"}
    after = {one.reading.key: one for one in taken if one.reading.phase == "after"}
    wanted: dict[str, tuple[TestPointCard, PositionCard]] = {}
    shown: set[ComponentAt] = set()
    for key, one in before.items():
        path = path_of(book, one.reading)
        if one.judgement.outcome != "good" or path & mended:
            wanted[key] = (book.test_points[one.reading.test_point], one.reading.place)
            shown |= path
    for component in sorted(mended - shown):
        found = _shortest(book, component)
        if found is not None:
            wanted.setdefault(f"{found[0].code}@{found[1].code}", found)
    order = {code: number for number, code in enumerate(book.test_points)}
    places = {place.code: number for number, place in enumerate(book.family.positions)}
    return tuple(
        ReadingAfter(test, place, before.get(key), after.get(key))
        for key, (test, place) in sorted(
            wanted.items(), key=lambda one: (order[one[1][0].code], places[one[1][1].code])
        )
    )


def repaired(book: ServiceBook, tasks: Iterable[Task]) -> frozenset[ComponentAt]:
    """What these tasks repair, each component at each place that the work is for."""
    found = set()
    for task in tasks:
        operation = book.operations.get(task.operation)
        if operation is None or operation.repairs is None:
            continue
        scope = book.components[operation.repairs].scope
        found |= {ComponentAt(operation.repairs, at.code) for at in book.family.enclosing(task.place, scope)}
    return frozenset(found)


def _shortest(book: ServiceBook, component: ComponentAt) -> tuple[TestPointCard, PositionCard] | None:
    ways = [
        (len(card.path), card.minutes, card.code, number, card, place)
        for card in book.test_points.values()
        if component.component in card.path
        for number, place in enumerate(book.family.of_scope(card.scope))
        if component in path_at(book, card, place)
    ]
    if not ways:
        return None
    *_, card, place = min(ways, key=lambda way: way[:4])
    return card, place
