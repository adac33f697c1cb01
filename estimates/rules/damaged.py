"""Small parts that broke while something was taken apart: a retainer, a clip, a brittle hose.

They have no repair of their own. The service data says where such a part is replaced "if damaged": with
which operation, or whenever which access is opened. Where the chosen work touches the place, the broken
pieces can be offered; elsewhere nobody gets there, and that is said instead.

>>> from catalog.cards import FamilyCard
>>> engine = PositionCard("engine", "engine", None)
>>> clip = NeedCard("clip", "clip", 1, "position", "if-damaged")
>>> cover = StepCard("cover", "Cover off and on", "engine", 20, (), (clip,), ())
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> book = ServiceBook(family, {}, {"cover": cover}, {}, {}, {})
>>> opened = StepAt("cover@engine", cover.name, engine, 20, frozenset(), (), ())
>>> if_damaged(book, "clip", engine, [], [opened]) == (clip, frozenset({"cover@engine"}))
True
>>> if_damaged(book, "clip", engine, [], []) is None
True
"""

from __future__ import annotations

from collections.abc import Iterable

from catalog.cards import PositionCard
from catalog.service_cards import NeedCard, OperationCard, ServiceBook, StepCard
from estimates.rules.plan import Found, StepAt, Task


def if_damaged(
    book: ServiceBook, part_type: str, at: PositionCard, tasks: Iterable[Task], opened: Iterable[StepAt]
) -> tuple[NeedCard, frozenset[str]] | None:
    """The need of chosen work or opened access that touches the place `at`, and the steps that lead there."""
    needs: list[tuple[NeedCard, frozenset[str]]] = []
    for task in tasks:
        if task.operation in book.operations and _touch(book, task.place, at):
            way = frozenset(key for key in task.steps if not key.startswith("first:"))
            needs += [(need, way) for need in book.operations[task.operation].needs]
    for step in opened:
        code = step.key.partition("@")[0]
        if code in book.steps and _touch(book, step.place, at):
            needs += [(need, frozenset({step.key})) for need in book.steps[code].needs]
    matching = [(n, way) for n, way in needs if n.necessity == "if-damaged" and n.part_type == part_type]
    return matching[0] if matching else None


def _touch(book: ServiceBook, place: PositionCard, at: PositionCard) -> bool:
    """Whether one of the two lies in the other: a bank and its cylinders, the engine and everything."""
    return at in book.family.enclosing(place, at.scope)


def why_unresolved(book: ServiceBook, found: Found) -> str:
    """Why a finding without an operation of its own did not become a line."""
    part_type = book.components[found.component].part_type
    cards: list[OperationCard | StepCard] = [*book.operations.values(), *book.steps.values()]
    owners = {
        card.name
        for card in cards
        if any(n.necessity == "if-damaged" and n.part_type == part_type for n in card.needs)
    }
    if part_type and owners:
        return (
            f"found ({found.standing}), but none of the chosen work replaces it; "
            f"that happens with: {', '.join(sorted(owners))}"
        )
    return "found, but the service data has no operation that repairs it: price it by hand or add one"
