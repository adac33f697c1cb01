"""In which order an engine comes apart, is worked on, and goes back together.

A step waits for what has to come off before it. What serves the whole engine comes first, then one bank is
finished before the next is begun, a cylinder before the next; a bank is left early only where something else
has to come off before the rest of it. Back on goes everything in reverse: last off, first on. The same job
always gives the same order.

>>> from catalog.cards import PositionCard
>>> engine = PositionCard("engine", "engine", None)
>>> a, b = (PositionCard(code, "bank", None) for code in "AB")
>>> family = FamilyCard("v2", "Small V", 2, None, {}, {}, (engine, a, b))
>>> def step(code, place, *requires):
...     key = f"{code}@{place.code}"
...     return StepAt(key, code, place, 5, frozenset(requires), (), ())
>>> steps = [step("coil", b), step("cover", b, "coil@B"), step("cover", a, "pipe@engine")]
>>> steps.append(step("pipe", engine))
>>> [one.key for one in teardown(steps, family)]
['pipe@engine', 'cover@A', 'coil@B', 'cover@B']
>>> [one.key for one in refit(steps, family)]
['cover@B', 'coil@B', 'cover@A', 'pipe@engine']
"""

from __future__ import annotations

from collections.abc import Iterable

from catalog.cards import FamilyCard, PositionCard
from estimates.rules.plan import StepAt, Task
from shop.rules.errors import Refused

Rank = tuple[int, int]
SHARED = "first:"
"""What the first position of an operation takes longer is no teardown; its key begins so."""


def teardown(steps: Iterable[StepAt], family: FamilyCard) -> tuple[StepAt, ...]:
    """These steps, each after what it requires of them. Refused where steps wait for each other."""
    waiting = [step for step in steps if not step.key.startswith(SHARED)]
    listed = {step.key: number for number, step in enumerate(waiting)}
    places = Places(family)
    done: dict[str, StepAt] = {}
    bank = 0
    while waiting:
        ready = [
            step for step in waiting if not any(key in listed and key not in done for key in step.requires)
        ]
        if not ready:
            circle = ", ".join(sorted(step.key for step in waiting))
            raise Refused.single("access steps", f"{circle} wait for each other", "take one requirement out")
        chosen = min(
            ready,
            key=lambda step: (places.bank(step.place) != bank, places.rank(step.place), listed[step.key]),
        )
        bank = places.bank(chosen.place)
        done[chosen.key] = chosen
        waiting.remove(chosen)
    return tuple(done.values())


def refit(steps: Iterable[StepAt], family: FamilyCard) -> tuple[StepAt, ...]:
    """The same steps back on: last off, first on."""
    return tuple(reversed(teardown(steps, family)))


def in_order_of_place(tasks: Iterable[Task], family: FamilyCard) -> tuple[Task, ...]:
    """Work at its places, one bank and one cylinder after the other; at one place in the order given."""
    places = Places(family)
    return tuple(sorted(tasks, key=lambda task: places.rank(task.place)))


class Places:
    """Where a place stands in the order of work: the engine, then bank by bank with its cylinders."""

    def __init__(self, family: FamilyCard) -> None:
        banks = [place.code for place in family.of_scope("bank")]
        self._bank = {code: number for number, code in enumerate(banks, 1)}
        self._place = {place.code: number for number, place in enumerate(family.positions)}

    def bank(self, place: PositionCard) -> int:
        """0 for what belongs to no bank."""
        code = place.code if place.scope == "bank" else place.bank
        return self._bank.get(code or "", 0)

    def rank(self, place: PositionCard) -> Rank:
        return self.bank(place), self._place.get(place.code, len(self._place))
