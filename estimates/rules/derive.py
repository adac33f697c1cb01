"""From findings to items: what has to be done, what may have to be done, what could be done.

A confirmed fault calls for its repair: firm. A suspected one is repaired only if it is found on opening:
contingent. An advisory one may be left: optional. What may go wrong during a repair (a seized heater that
breaks) is contingent too, with its condition in words and the operation that must follow; where that
operation was only advised, it is no longer optional, because it may have to be done. A small part that broke
(a harness retainer) has no repair of its own: it becomes an optional line where the chosen work, at that
place, says "if damaged". Tests already carried out are firm and done, so that a cover taken off for diagnosis
is not charged again. What cannot be turned into a line is said, never dropped.

No operation that removes an emissions or safety control is offered for a machine in road use; where road
use is not known that has to be answered first.

A belt found torn on an engine that has one operation for it:

>>> from catalog.service_cards import NeedCard
>>> engine = PositionCard("engine", "engine", None)
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> change = OperationCard("belt-change", "Change the belt", "engine", "belt", 1, "", 20, 20, False, (),
...     (NeedCard("belt", "drive belt", 1, "position", "required"),), (), ())
>>> book = ServiceBook(family, {}, {}, {}, {"belt-change": change}, {})
>>> found = Found("belt", "drive belt", engine, None, "confirmed", 1, ("torn",))
>>> item = derive(book, [found], []).items[0]
>>> item.group, item.title, item.why, [need.type_name for need in item.tasks[0].needs]
('firm', 'Change the belt', ('drive belt: torn',), ['drive belt'])
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from catalog.cards import FamilyCard, PositionCard
from catalog.service_cards import OperationCard, ServiceBook
from estimates.rules.damaged import if_damaged, why_unresolved
from estimates.rules.factors import slowed
from estimates.rules.intake import FactorIn
from estimates.rules.plan import (
    Found,
    Group,
    Item,
    NeedAt,
    Note,
    Plan,
    arising,
    places_in_words,
)
from estimates.rules.tasks import Tasks

OWN_KEYS = frozenset({"tests", "access"})
"""Keys of items that stand for no operation; an operation of such a name gets another."""
GROUP_OF: dict[str, Group] = {"confirmed": "firm", "suspected": "contingent", "advisory": "optional"}


@dataclass(frozen=True, slots=True)
class TestDone:
    """A test point that was measured at one place."""

    __test__ = False

    test_point: str
    place: PositionCard


def derive(
    book: ServiceBook,
    findings: Sequence[Found],
    tests: Sequence[TestDone],
    *,
    road_use: str = "unknown",
    included: Collection[str] = (),
    factors: Sequence[FactorIn] = (),
) -> Plan:
    """The plan for these findings and tests. `included`: keys of items a person took into the firm price.
    `factors` multiply the minutes of access steps on this job.

    `road_use` is "yes", "no" or "unknown". An item taken in keeps its key and remembers its `origin`.
    """
    work = _Derivation(book, road_use, Tasks(book))
    work.add_tests(tests)
    for group in ("firm", "contingent", "optional"):
        for found in findings:
            if GROUP_OF[found.standing] == group:
                work.add_finding(found, group)
    work.add_risks()
    work.add_damaged()
    items = _forced({key: _taken_in(item, included) for key, item in work.items.items()}, work.forced)
    order: dict[str, int] = {"firm": 0, "contingent": 1, "optional": 2}
    steps, slow = slowed(work.tasks.steps, factors)
    return Plan(
        items=tuple(sorted(items.values(), key=lambda item: order[item.group])),
        steps=steps,
        refused=tuple(work.refused),
        unresolved=tuple(work.unresolved),
        slow=slow,
    )


def _taken_in(item: Item, included: Collection[str]) -> Item:
    if item.group == "firm" or item.key not in included:
        return item
    return replace(item, group="firm", origin=item.group)


def _forced(items: dict[str, Item], by: dict[str, set[str]]) -> dict[str, Item]:
    """Optional items that work which is done, or may have to be, can call for are contingent instead.

    Left optional they would be missing from the total that is not exceeded without asking again.
    """
    while True:
        present = {item.key for item in items.values() if item.group == "firm"}
        contingent = [item for item in items.values() if item.group == "contingent"]
        present |= {item.key for item in arising(contingent, present)}
        due = [key for key, parents in by.items() if items[key].group == "optional" and parents & present]
        if not due:
            return items
        items = items | {key: replace(items[key], group="contingent") for key in due}


@dataclass
class _Derivation:
    """The growing plan; every task belongs to the first item that calls for it."""

    book: ServiceBook
    road_use: str
    tasks: Tasks
    items: dict[str, Item] = field(default_factory=dict)
    owner: dict[str, str] = field(default_factory=dict)
    forced: dict[str, set[str]] = field(default_factory=dict)
    damaged: list[Found] = field(default_factory=list)
    refused: list[Note] = field(default_factory=list)
    unresolved: list[Note] = field(default_factory=list)

    @property
    def family(self) -> FamilyCard:
        return self.book.family

    # Tests

    def add_tests(self, tests: Iterable[TestDone]) -> None:
        tasks = [self.tasks.test(self.book.test_points[test.test_point], test.place) for test in tests]
        if tasks:
            count = len(tasks)
            why = (f"{count} reading{'s' if count > 1 else ''} taken; access counted once with the repair",)
            self.items["tests"] = Item("tests", "firm", "Tests carried out", why, tuple(tasks), done=True)

    # Findings

    def add_finding(self, found: Found, group: Group) -> None:
        operation = self.book.repair_of.get(found.component)
        if operation is None:
            self.damaged.append(found)
            return
        places = self.family.enclosing(found.position, operation.scope)
        where = places_in_words((found.position,))
        why = tuple(f"{found.name}{f', {where}' if where else ''}: {reason}" for reason in found.reasons)
        suspects = ((found.component, found.position.code),) if found.standing == "suspected" else ()
        self._add_operation(operation, places, group, why, suspects=suspects)

    def _add_operation(
        self,
        operation: OperationCard,
        places: Sequence[PositionCard],
        group: Group,
        why: tuple[str, ...],
        risk: tuple[str, Decimal] | None = None,
        suspects: tuple[tuple[str, str], ...] = (),
    ) -> None:
        """`risk`: the item whose work may call for this operation, and how likely that is."""
        if operation.removes_control and not self._may_remove_control(operation):
            return
        odds = (risk,) if risk else ()
        for place in places:
            task = self.tasks.operation(operation, place)
            if task.key in self.owner:
                self._also_why(self.owner[task.key], why, odds, suspects)
                continue
            # Firm work at several places is one item; what may be left is decided place by place.
            code = f"operation:{operation.code}" if operation.code in OWN_KEYS else operation.code
            key = code if group == "firm" else f"{code}@{place.code}"
            self.owner[task.key] = key
            if key in self.items:
                item = self.items[key]
                self.items[key] = replace(item, tasks=(*item.tasks, task))
                self._also_why(key, why, odds, suspects)
            else:
                self.items[key] = Item(
                    key=key,
                    group=group,
                    title=operation.name,
                    why=why,
                    tasks=(task,),
                    parents=tuple(parent for parent, _ in odds),
                    description=operation.description,
                    odds=odds,
                    suspects=suspects,
                )

    def _also_why(
        self,
        key: str,
        why: tuple[str, ...],
        odds: tuple[tuple[str, Decimal], ...],
        suspects: tuple[tuple[str, str], ...],
    ) -> None:
        item = self.items[key]
        parents = tuple(parent for parent, _ in odds)
        if parents and item.group == "firm":
            return  # it is done anyway, not because something may break
        if parents and item.group == "optional":
            self.forced.setdefault(key, set()).update(parents)
        reasons = tuple(dict.fromkeys((*item.why, *why)))
        # An item that stands on its own (a suspected fault) does not start to depend on another.
        joined = tuple(dict.fromkeys((*item.parents, *parents))) if item.parents else ()
        self.items[key] = replace(
            item,
            why=reasons,
            parents=joined,
            odds=(*item.odds, *odds),
            suspects=tuple(dict.fromkeys((*item.suspects, *suspects))),
        )

    def _may_remove_control(self, operation: OperationCard) -> bool:
        if self.road_use == "no":
            return True
        if self.road_use == "yes":
            why = (
                "it removes an emissions or safety control, and the machine is in road use; "
                "local law decides elsewhere"
            )
        else:
            why = (
                "it removes an emissions or safety control; needs to know whether the machine is in road use"
            )
        note = Note(operation.name, why)
        if note not in self.refused:
            self.refused.append(note)
        return False

    # What may go wrong

    def add_risks(self) -> None:
        """Follow-on work of every operation, and of that work in turn; each task once, so circles end."""
        waiting = [item for item in self.items.values() if not item.done]
        while waiting:
            item = waiting.pop(0)
            before = set(self.items)
            for task in item.tasks:
                for risk in self.book.operations[task.operation].risks:
                    follow = self.book.operations[risk.follow_on]
                    places = self.family.enclosing(task.place, follow.scope)
                    cause = (item.key, risk.likelihood)
                    self._add_operation(follow, places, "contingent", (risk.condition,), cause)
            waiting += [self.items[key] for key in self.items if key not in before]

    # Small parts that broke

    def add_damaged(self) -> None:
        tasks = [task for item in self.items.values() for task in item.tasks]
        for found in self.damaged:
            component = self.book.components[found.component]
            opened = self.tasks.steps.values()
            part_type = component.part_type
            there = if_damaged(self.book, part_type, found.position, tasks, opened) if part_type else None
            if there is None:
                why = why_unresolved(self.book, found)
                self.unresolved.append(Note(f"{found.name}, {found.position.label}", why))
                continue
            need, access = there
            key = f"damaged:{found.component}@{found.position.code}"
            pieces = f"{found.quantity} piece{'s' if found.quantity > 1 else ''}"
            self.items[key] = Item(
                key=key,
                group="optional",
                title=f"{need.type_name}, {pieces}",
                why=tuple(f"{found.name}: {reason}" for reason in found.reasons),
                tasks=(),
                extras=(
                    NeedAt(need.part_type, need.type_name, found.quantity, found.position, "if-damaged"),
                ),
                access=access,
            )
