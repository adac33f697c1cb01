"""What the technician's worksheet says, as plain JSON values: what comes off in which order, the work at its
places, what goes back on with new parts and tightening values, and the readings to take afterwards.

No price, cost or likelihood is in here. Steps and tasks carry their keys, under which actual minutes are
written down.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from catalog.documents.words import CAUTION
from catalog.spec_cards import SpecCard
from catalog.working_notes import StepNote, WorkingNotes
from estimates.builder import Built
from estimates.rules.after_repair import ReadingAfter, readings_after
from estimates.rules.entry import expectation_of, symbol
from estimates.rules.judging import Judged
from estimates.rules.plan import Item, NeedAt, StepAt, Task, places_in_words
from estimates.rules.sequence import SHARED, in_order_of_place, teardown
from estimates.rules.workload import NeedKey, workload

FORMAT = "tallybore-worksheet/1"
NOTHING = StepNote("", "", "")
Json = dict[str, Any]


@dataclass(frozen=True)
class Ordered:
    """What is to be done: the keys of the items, those agreed to if found, and in words on whose say."""

    items: frozenset[str]
    if_found: frozenset[str] = frozenset()
    said: str = ""


def worksheet(built: Built, notes: WorkingNotes, ordered: Ordered, *, on: date) -> Json:
    """The worksheet of these items, drawn up on the day `on`."""
    plan, job, shop = built.plan, built.job, built.workshop
    done = [item for item in plan.items if item.done]
    todo = [item for item in plan.items if item.key in ordered.items and not item.done]
    writer = _Writer(built, notes, done, todo)
    load = writer.load
    down = teardown(load.opened.values(), built.book.family)
    return {
        "format": FORMAT,
        "job": {"number": job.number, "opened_on": job.opened_on.isoformat(), "complaint": job.complaint},
        "drawn_up_on": on.isoformat(),
        "demonstration": shop.demonstration,
        "workshop": {"name": shop.name, "phone": shop.phone},
        "customer": job.customer.name,
        "unit": {
            "name": job.unit.name,
            "family": built.book.family.code,
            "family_name": built.book.family.name,
            "registration": job.unit.registration,
            "serial": job.unit.serial,
        },
        "said": ordered.said,
        "minutes": writer.wanted.minutes,
        "teardown": _by_place([(step.place, writer.off(step)) for step in down]),
        "work": _by_place([(task.place, writer.work(task)) for task in writer.tasks(todo)]),
        "extras": writer.parts(need for item in todo for need in item.extras),
        "refit": _by_place([(step.place, writer.on(step)) for step in reversed(down)]),
        "readings": [
            _reading(one)
            for one in readings_after(built.book, load.tasks.values(), built.assessment.readings)
        ],
        "if_found": [_if_found(item, ordered) for item in _may_follow(built, ordered)],
        "open_points": [{"what": note.what, "why": note.why} for note in plan.unresolved],
        "lost": sorted(ordered.items - {item.key for item in plan.items}),
        "cautions": [*writer.cautions([*down, *load.tasks.values()]), CAUTION],
    }


def _may_follow(built: Built, ordered: Ordered) -> Iterable[Item]:
    """Contingent items that the work may bring, and those that are due on their own condition."""
    there = set(ordered.items)
    for item in built.plan.group("contingent"):
        if item.key not in ordered.items and (not item.parents or there & set(item.parents)):
            there.add(item.key)
            yield item


def _by_place(entries: Sequence[tuple[Any, Json]]) -> list[Json]:
    """Neighbours at one place under its name."""
    return [
        {"place": place.code, "where": place.label, "entries": [entry for _, entry in same]}
        for place, same in groupby(entries, key=lambda entry: entry[0])
    ]


class _Writer:
    """Puts steps and tasks into words, with what the service data and the parts say about them."""

    def __init__(self, built: Built, notes: WorkingNotes, done: Sequence[Item], todo: Sequence[Item]) -> None:
        steps = built.plan.steps
        self.built, self.notes = built, notes
        self.load, self.wanted = workload([*done, *todo], steps), workload(todo, steps)
        self.opened = workload(done, steps)
        self.slow = {f"{one.step}@{one.place.code}": one for one in built.plan.slow}
        self.begun: set[str] = set()
        self.listed: set[NeedKey] = set()

    def tasks(self, items: Iterable[Item]) -> tuple[Task, ...]:
        found = {task.key: task for item in items for task in item.tasks}
        return in_order_of_place(found.values(), self.built.book.family)

    def off(self, step: StepAt) -> Json:
        note, slow = self._note(step), self.slow.get(step.key)
        return {
            "key": step.key,
            "name": step.name,
            "minutes": step.minutes,
            "how": note.instruction,
            "tools": note.tools,
            "slow": f"{slow.usual} to {slow.minutes} minutes: {slow.reason}" if slow else "",
            "opened_for_tests": step.key in self.opened.opened,
            "only_for_tests": step.key not in self.wanted.opened,
            "cautions": self._texts(step.cautions),
        }

    def on(self, step: StepAt) -> Json:
        code = step.key.partition("@")[0]
        note = self._note(step)
        return {
            "key": step.key,
            "name": step.name,
            "how": note.refit,
            "tools": note.tools,
            "only_for_tests": step.key not in self.wanted.opened,
            "parts": self.parts(step.needs),
            "values": _values(self.notes.step_values.get(code, ())),
            "missing": list(self.notes.missing.get(code, ())),
        }

    def work(self, task: Task) -> Json:
        operation = self.built.book.operations[task.operation]
        return {
            "key": task.key,
            "name": task.name,
            "minutes": task.minutes + self._first(task),
            "how": operation.description,
            "parts": self.parts(task.needs),
            "values": _values(self.notes.operation_values.get(task.operation, ())),
            "missing": list(self.notes.missing.get(task.operation, ())),
            "cautions": self._texts(task.cautions),
        }

    def _first(self, task: Task) -> int:
        """What the first position takes longer, told with the first of them."""
        shared = [key for key in task.steps if key.startswith(SHARED) and key not in self.begun]
        self.begun.update(shared)
        return sum(self.built.plan.steps[key].minutes for key in shared)

    def parts(self, needs: Iterable[NeedAt]) -> list[Json]:
        """Each piece once, where the work first asks for it: a tin of grease serves the whole job."""
        fresh = [need for need in needs if need.key not in self.listed]
        self.listed.update(need.key for need in fresh)
        return [self._part(self.load.needs[need.key]) for need in fresh]

    def _part(self, need: NeedAt) -> Json:
        supply = self.built.supplies[need.key]
        return {
            "name": need.type_name,
            "where": places_in_words((need.place,)),
            "quantity": need.quantity,
            "necessity": need.necessity,
            "numbers": [piece.part.label for piece in supply.pieces] if not supply.to_confirm else [],
            "to_confirm": supply.to_confirm,
        }

    def _note(self, step: StepAt) -> StepNote:
        return self.notes.steps.get(step.key.partition("@")[0], NOTHING)

    def _texts(self, codes: Collection[str]) -> list[str]:
        return [self.built.book.cautions[code] for code in codes]

    def cautions(self, works: Iterable[StepAt | Task]) -> list[str]:
        """Each once, in the order in which the work meets them."""
        return self._texts(dict.fromkeys(code for work in works for code in work.cautions))


def _values(cards: Sequence[SpecCard]) -> list[Json]:
    return [
        {
            "name": card.name,
            "of": card.part_type,
            "figure": card.figure,
            # A wrench of 10 mm is no wrench of 0.394 in.
            "also": card.figure_in(card.customary) if card.customary and card.unit != "mm" else "",
            "condition": card.condition,
            "source_title": card.source,
            "verified": card.verified,
        }
        for card in cards
    ]


def _reading(one: ReadingAfter) -> Json:
    card = one.test
    return {
        "test_point": card.code,
        "name": card.name,
        "position": one.place.code,
        "where": one.place.label,
        "how": card.instruction,
        "symbol": symbol(card.unit),
        "expected": f"lamp {card.lamp}" if card.kind == "lamp" else expectation_of(card).limits,
        "before": _judged(one.before),
        "after": _judged(one.after),
    }


def _judged(one: Judged | None) -> Json | None:
    return None if one is None else {"shown": one.reading.shown, "outcome": one.judgement.outcome}


def _if_found(item: Item, ordered: Ordered) -> Json:
    return {
        "key": item.key,
        "title": item.title,
        "where": places_in_words(item.places),
        "conditions": list(item.why),
        "agreed": item.key in ordered.if_found,
    }
