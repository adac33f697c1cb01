"""What a set of items takes together: minutes, open access, and parts, each counted once.

Two repairs under one cover open it once; one gasket at one place is one gasket, whoever asks for it. So what
an item adds depends on what is already being done, and this module answers exactly that.

>>> from catalog.cards import PositionCard
>>> bank = PositionCard("A", "bank", None)
>>> gasket = NeedAt("gasket", "gasket", 1, bank, "one-time")
>>> steps = {"cover@A": StepAt("cover@A", "cover off", bank, 30, frozenset(), (gasket,), ())}
>>> def item(code, minutes):
...     task = Task(f"{code}@A", code, code, bank, minutes, frozenset({"cover@A"}), (), ())
...     return Item(code, "firm", code, (), (task,))
>>> both = workload([item("seal", 10), item("harness", 20)], steps)
>>> both.minutes, [need.quantity for need in both.needs.values()]
(60, [1])
>>> added(item("heater", 5), both, steps).minutes
5
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from estimates.rules.labour import Step, Work
from estimates.rules.plan import Item, NeedAt, StepAt, Task

NeedKey = tuple[str, str]
ACCESS = "access"


@dataclass(frozen=True, slots=True)
class Workload:
    """`needs` by (part type, place); `owners` says which item shows the need first, "access" for a step's."""

    tasks: dict[str, Task]
    opened: dict[str, StepAt]
    minutes: int
    needs: dict[NeedKey, NeedAt]
    owners: dict[NeedKey, str]


@dataclass(frozen=True, slots=True)
class Added:
    """What one more item adds: its minutes, and the pieces not already needed."""

    minutes: int
    needs: tuple[NeedAt, ...]


def workload(items: Iterable[Item], steps: Mapping[str, StepAt]) -> Workload:
    """Everything these items take together. A task in two items counts once."""
    tasks: dict[str, Task] = {}
    opened: dict[str, StepAt] = {}
    needs: dict[NeedKey, NeedAt] = {}
    owners: dict[NeedKey, str] = {}
    minutes = 0

    def use(need: NeedAt, owner: str) -> None:
        known = needs.get(need.key)
        if known is None or known.quantity < need.quantity:
            needs[need.key] = need
        owners.setdefault(need.key, owner)

    items = tuple(items)
    for item in items:
        for task in item.tasks:
            if task.key in tasks:
                continue
            tasks[task.key] = task
            minutes += task.minutes
            for need in task.needs:
                use(need, item.key)
        for need in item.extras:
            use(need, item.key)
    for item in items:
        for task in item.tasks:
            for step in newly_opened(task, opened, steps):
                opened[step.key] = step
                minutes += step.minutes
                for need in step.needs:
                    use(need, ACCESS)
    return Workload(tasks, opened, minutes, needs, owners)


def added(item: Item, base: Workload, steps: Mapping[str, StepAt]) -> Added:
    """What `item` adds to `base`; nothing of `base` is gone through again, only what the item touches."""
    minutes = 0
    opened: dict[str, StepAt] = {}
    wanted: list[NeedAt] = list(item.extras)
    for task in {task.key: task for task in item.tasks}.values():
        if task.key in base.tasks:
            continue
        minutes += task.minutes
        wanted += task.needs
        for step in newly_opened(task, opened, steps):
            if step.key not in base.opened:
                minutes += step.minutes
                wanted += step.needs
            opened[step.key] = step
    more: dict[NeedKey, NeedAt] = {}
    for need in wanted:
        known = max(
            base.needs[need.key].quantity if need.key in base.needs else 0,
            more[need.key].quantity if need.key in more else 0,
        )
        if need.quantity > known:
            more[need.key] = need
    return Added(minutes, tuple(_only_more(need, base) for need in more.values()))


def _only_more(need: NeedAt, base: Workload) -> NeedAt:
    known = base.needs.get(need.key)
    if known is None:
        return need
    return NeedAt(need.part_type, need.type_name, need.quantity - known.quantity, need.place, need.necessity)


def newly_opened(task: Task, opened: Mapping[str, StepAt], steps: Mapping[str, StepAt]) -> list[StepAt]:
    """The steps this task needs, prerequisites first, without those in `opened`."""
    found: dict[str, StepAt] = {}

    def visit(key: str) -> None:
        if key in opened or key in found:
            return
        step = steps[key]
        for before in sorted(step.requires):
            visit(before)
        found[key] = step

    for key in sorted(task.steps):
        visit(key)
    return list(found.values())


def as_labour(load: Workload) -> tuple[list[Work], dict[str, Step]]:
    """The same work in the words of the labour rules, for shares and orders of work."""
    works = [Work(task.key, task.minutes, task.steps) for task in load.tasks.values()]
    return works, {key: Step(key, step.minutes, step.requires) for key, step in load.opened.items()}
