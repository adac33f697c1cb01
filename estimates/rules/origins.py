"""Which findings an item of the estimate answers, so that what a customer leaves for later is remembered as
what was found, not as what was offered.

>>> from catalog.cards import FamilyCard, PositionCard
>>> from catalog.service_cards import OperationCard
>>> from estimates.rules.derive import derive
>>> engine = PositionCard("engine", "engine", None)
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> change = OperationCard("belt-change", "Change the belt", "engine", "belt", 1, "", 20, 20, False, (),
...     (), (), ())
>>> book = ServiceBook(family, {}, {}, {}, {"belt-change": change}, {})
>>> found = Found("belt", "drive belt", engine, None, "advisory", 1, ("ribs frayed",))
>>> origins_of_items(book, derive(book, [found], []).items, [found])
{'belt-change@engine': [{'component': 'belt', 'position': 'engine'}]}
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog.service_cards import ServiceBook
from estimates.rules.plan import Found, Item


def origins_of_items(
    book: ServiceBook, items: Iterable[Item], findings: Sequence[Found]
) -> dict[str, list[dict[str, str]]]:
    """By item key the findings it answers. Items that answer none (a risk of the work) are left out."""
    owner: dict[str, str] = {}
    keys = set()
    for item in items:
        keys.add(item.key)
        for task in item.tasks:
            owner.setdefault(task.key, item.key)
    found: dict[str, list[dict[str, str]]] = {}
    for finding in findings:
        for key in _items_for(book, finding, owner):
            if key in keys:
                origin = {"component": finding.component, "position": finding.position.code}
                found.setdefault(key, []).append(origin)
    return found


def _items_for(book: ServiceBook, finding: Found, owner: dict[str, str]) -> list[str]:
    operation = book.repair_of.get(finding.component)
    if operation is None:
        return [f"damaged:{finding.component}@{finding.position.code}"]
    places = book.family.enclosing(finding.position, operation.scope)
    tasks = (f"{operation.code}@{place.code}" for place in places)
    return list(dict.fromkeys(owner[task] for task in tasks if task in owner))
