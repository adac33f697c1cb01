"""The rows that a technician writes minutes against: each piece of teardown, each operation, each test.

Teardown comes first, in the order it has to come off, then what is done once it is open. Where the first
position of an operation takes longer than each further one, the first row carries the difference, so that a
row is what a person does in one go; its code says which of the two it is, since the two are on record with
minutes of their own. Minutes a person did not write down stay unknown; they are not taken for the estimate.

>>> from catalog.cards import PositionCard
>>> places = [PositionCard(code, "cylinder", None) for code in "13"]
>>> engine = PositionCard("engine", "engine", None)
>>> steps = {"cover@engine": StepAt("cover@engine", "Cover off and on", engine, 30, frozenset(), (), ()),
...          "first:heater": StepAt("first:heater", "heater", places[0], 5, frozenset(), (), ())}
>>> tasks = tuple(Task(f"heater@{p.code}", "heater", "Replace heater", p, 10, frozenset(steps), (), ())
...               for p in places)
>>> for row in bench_rows([Item("heaters", "firm", "Heaters", (), tasks)], steps):
...     print(row.key, row.code, row.estimated)
cover@engine cover 30
heater@1 heater 15
heater@3 further:heater 10
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from estimates.rules.history import FURTHER
from estimates.rules.plan import Item, StepAt, Task, places_in_words
from estimates.rules.workload import workload

FIRST = "first:"


@dataclass(frozen=True, slots=True)
class BenchRow:
    """`key` names the task or step on the job, `code` the work for the shop's history. `needs` are the keys
    of the steps that have to be open for it, or come off before it; `item` is "" for teardown."""

    key: str
    code: str
    name: str
    where: str
    item: str
    estimated: int
    needs: frozenset[str]

    @property
    def teardown(self) -> bool:
        return not self.item


def bench_rows(items: Iterable[Item], steps: Mapping[str, StepAt]) -> tuple[BenchRow, ...]:
    """Every step and task of these items once, in the order of the work."""
    items = tuple(items)
    load = workload(items, steps)
    owner: dict[str, str] = {}
    for item in items:
        for task in item.tasks:
            owner.setdefault(task.key, item.key)
    rows = [
        BenchRow(
            key=key,
            code=key.rpartition("@")[0] or key,
            name=step.name,
            where=places_in_words((step.place,)),
            item="",
            estimated=step.minutes,
            needs=frozenset(step.requires),
        )
        for key, step in load.opened.items()
        if not key.startswith(FIRST)
    ]
    started: set[str] = set()
    for task in load.tasks.values():
        rows.append(_task_row(task, owner[task.key], load.opened, started))
    return tuple(rows)


def _task_row(task: Task, item: str, opened: Mapping[str, StepAt], started: set[str]) -> BenchRow:
    first = opened.get(f"{FIRST}{task.operation}")
    further = first is not None and task.operation in started
    started.add(task.operation)
    return BenchRow(
        key=task.key,
        code=f"{FURTHER}{task.operation}" if further else task.operation,
        name=task.name,
        where=places_in_words((task.place,)),
        item=item,
        estimated=task.minutes + (first.minutes if first is not None and not further else 0),
        needs=frozenset(key for key in task.steps if not key.startswith(FIRST)),
    )
