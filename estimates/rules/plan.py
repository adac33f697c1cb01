"""The shared words of an estimate being built: what is to be done, where, with what, and why.

A finding calls for an operation. An operation done at a place is a task: it has minutes of its own, opens
access steps, and uses parts. Tasks that belong together in the customer's eyes make an item, and an item is
what a customer says yes or no to: firm (found and needed), contingent (only if found on opening) or optional.

>>> from catalog.cards import PositionCard
>>> third = PositionCard("3", "cylinder", "A")
>>> found = Found("heater", "glow heater", third, "confirmed", "advisory", quantity=1, reasons=("open",))
>>> found.standing, found.by_person
('advisory', True)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Literal

from catalog.cards import PositionCard

if TYPE_CHECKING:
    from estimates.rules.byhand import HandIn

Group = Literal["firm", "contingent", "optional"]
FoundStanding = Literal["confirmed", "suspected", "advisory"]


@dataclass(frozen=True, slots=True)
class Found:
    """Something wrong with one component at one place: computed from readings, judged by a person, or both.

    `reasons` are in words, the person's first; `quantity` counts broken pieces.
    """

    component: str
    name: str
    position: PositionCard
    computed: FoundStanding | None
    judged: FoundStanding | None
    quantity: int
    reasons: tuple[str, ...]

    @property
    def standing(self) -> FoundStanding:
        """A person's judgement goes before the computed standing; both stay visible."""
        standing = self.judged or self.computed
        assert standing is not None
        return standing

    @property
    def by_person(self) -> bool:
        return self.judged is not None


@dataclass(frozen=True, slots=True)
class NeedAt:
    """`quantity` pieces of a part type at one place, and what asks for them."""

    part_type: str
    type_name: str
    quantity: int
    place: PositionCard
    necessity: str

    @property
    def key(self) -> tuple[str, str]:
        """The same part type at the same place is one physical part, whoever asks for it."""
        return (self.part_type, self.place.code)


@dataclass(frozen=True, slots=True)
class StepAt:
    """An access step at one place; `requires` are keys of steps that must be open before."""

    key: str
    name: str
    place: PositionCard
    minutes: int
    requires: frozenset[str]
    needs: tuple[NeedAt, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SlowStep:
    """An access step whose minutes a person multiplied on this job: usual minutes x `by`, and why."""

    step: str
    name: str
    place: PositionCard
    by: Decimal
    usual: int
    minutes: int
    reason: str


@dataclass(frozen=True, slots=True)
class Task:
    """An operation or a test at one place.

    `minutes` are those of a further position; what the first position takes more is a step of its own,
    "first:OPERATION", shared by all positions, so that it is counted once.
    """

    key: str
    operation: str
    name: str
    place: PositionCard
    minutes: int
    steps: frozenset[str]
    needs: tuple[NeedAt, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """What the customer decides on as one. `extras` are parts wanted besides what the tasks need.

    `parents`: a contingent item that can only arise while one of these items is done. `hand`: the line that
    a person wrote, of an item that nothing else brings. What makes an item due that is not firm, for the
    writer only: `odds`, the likelihood between 0 and 1 that the work of an item (its key) calls for it, and
    `suspects`, the components (code, position) that may be at fault. `access`: steps that an item without
    tasks needs on a visit of its own; on this one the work it rides on opens them.
    """

    key: str
    group: Group
    title: str
    why: tuple[str, ...]
    tasks: tuple[Task, ...]
    extras: tuple[NeedAt, ...] = ()
    parents: tuple[str, ...] = ()
    origin: Group | None = None
    description: str = ""
    odds: tuple[tuple[str, Decimal], ...] = ()
    suspects: tuple[tuple[str, str], ...] = ()
    access: frozenset[str] = frozenset()
    done: bool = False
    hand: HandIn | None = None

    @property
    def places(self) -> tuple[PositionCard, ...]:
        return tuple(task.place for task in self.tasks)


@dataclass(frozen=True, slots=True)
class Note:
    """Something the builder could not or must not turn into a line, said instead of left out."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Plan:
    """All items of a job and the access steps they may open; nothing is priced yet."""

    items: tuple[Item, ...]
    steps: dict[str, StepAt]
    refused: tuple[Note, ...]
    unresolved: tuple[Note, ...]
    slow: tuple[SlowStep, ...] = ()

    def group(self, group: Group) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.group == group)


def arising(contingent: Iterable[Item], present: Iterable[str]) -> list[Item]:
    """The contingent items that can arise while the items `present` (keys) are done.

    One without parents always can; those of an option wait for it.
    """
    there = set(present)
    found: list[Item] = []
    waiting = list(contingent)
    while True:
        ready = [item for item in waiting if not item.parents or there & set(item.parents)]
        if not ready:
            return found
        found += ready
        there |= {item.key for item in ready}
        waiting = [item for item in waiting if item not in ready]


def places_in_words(places: tuple[PositionCard, ...]) -> str:
    """For people: "cylinders 3 and 5", "bank A", "" for the engine itself; in the order of counting.

    >>> places_in_words(tuple(PositionCard(c, "cylinder", None) for c in ("10", "3", "1")))
    'cylinders 1, 3 and 10'
    """
    codes = sorted({p.code for p in places if p.scope != "engine"}, key=lambda code: (len(code), code))
    if not codes:
        return ""
    scope = next(p.scope for p in places if p.scope != "engine")
    if len(codes) == 1:
        return f"{scope} {codes[0]}"
    return f"{scope}s {', '.join(codes[:-1])} and {codes[-1]}"
