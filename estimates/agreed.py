"""What was agreed to on a job: the estimate, the items, and the work in them. Everything after the decision
starts here.

The last decision made counts, on whichever revision. While nothing is decided the firm items of the last
revision stand in for it, and whoever shows them says so.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook
from estimates.models import DecidedItem, Decision, IssuedEstimate, Job
from estimates.rules.bench import FIRST
from estimates.rules.choosing import Choice, Offered
from estimates.rules.plan import Group, Item, StepAt, Task
from estimates.rules.sheet import Sheet
from estimates.rules.workload import ACCESS

Json = dict[str, Any]
GROUPS: tuple[Group, ...] = ("firm", "contingent", "optional")
TEST = "test:"


@dataclass(frozen=True)
class Agreed:
    """`accepted` are keys of items; without a `decision` those of the firm ones. `newest` is the revision
    issued last, which may be later than the one decided on."""

    estimate: IssuedEstimate
    decision: Decision | None
    accepted: frozenset[str]
    newest: int
    newest_open_until: date

    @cached_property
    def document(self) -> Json:
        document: Json = json.loads(self.estimate.document)
        return document

    @cached_property
    def offered(self) -> Offered:
        return Offered(self.document)

    @property
    def decided(self) -> bool:
        return self.decision is not None

    @property
    def newer_undecided(self) -> bool:
        """Whether a later revision than the one decided on waits for its decision."""
        return self.newest > self.estimate.revision

    def waits_on(self, today: date) -> bool:
        """Whether the revision issued last can still be decided on, and is not."""
        return (not self.decided or self.newer_undecided) and today <= self.newest_open_until

    def items(self) -> Iterator[tuple[Group, Json]]:
        """The document's items that count, with their group: accepted, done already, and shared opening."""
        for group in GROUPS:
            for item in self.document["groups"][group]:
                if item["key"] in self.accepted or item["done"] or item["key"] == ACCESS:
                    yield group, item

    @cached_property
    def keys(self) -> frozenset[str]:
        return frozenset(item["key"] for _, item in self.items())

    @cached_property
    def if_found(self) -> frozenset[str]:
        """Accepted items that are done only if it turns out so on opening."""
        return frozenset(item["key"] for group, item in self.items() if group == "contingent")

    def choice(self, arisen: frozenset[str]) -> Choice:
        """What is billed: what is sure, and of the accepted items "only if found" those that were done."""
        known = {item.key for item in self.offered.items}
        return self.offered.choose((self.accepted & known) - self.if_found | (arisen & self.if_found))

    @property
    def currency(self) -> str:
        return str(self.document["currency"])

    @property
    def rate(self) -> Decimal:
        """Of an hour of labour, without tax, as it was agreed to."""
        return Decimal(self.document["labour"]["rate"])


def agreed_on(job: Job) -> Agreed | None:
    """What counts now; None while nothing is issued. Three statements."""
    rows = IssuedEstimate.objects.filter(job=job).order_by("-revision")
    last = rows.first()
    if last is None:
        return None
    decisions = Decision.objects.filter(estimate__job=job).select_related("estimate")
    decision = decisions.order_by("-decided_at", "-pk").first()
    items = DecidedItem.objects.filter(decision=decision, accepted=True)
    accepted = frozenset(items.values_list("item", flat=True)) if decision else None
    if accepted is None:
        firm = json.loads(last.document)["groups"]["firm"]
        accepted = frozenset(item["key"] for item in firm)
    return Agreed(
        decision.estimate if decision else last, decision, accepted, last.revision, last.valid_until
    )


# The work in it


def agreed_work(agreed: Agreed, book: ServiceBook) -> tuple[list[Item], dict[str, StepAt]]:
    """The agreed items with their tasks and steps, as minutes were frozen with the estimate, names as the
    service data has them today. Empty where the document is of an old form that holds none."""
    sheet = agreed.offered.sheet
    if sheet is None:
        return [], {}
    steps = {key: _step(key, step.minutes, book, sheet) for key, step in sheet.steps.items()}
    items = [
        Item(
            item["key"],
            group,
            item["title"],
            (),
            tuple(_task(key, book, sheet) for key in sheet.items[item["key"]].tasks),
            done=item["done"],
        )
        for group, item in agreed.items()
        if item["key"] in sheet.items
    ]
    return items, steps


def _step(key: str, minutes: int, book: ServiceBook, sheet: Sheet) -> StepAt:
    code, place = _apart(key, book)
    card = book.steps.get(code)
    requires = frozenset(
        before
        for wanted in (card.requires if card else ())
        if wanted in book.steps
        for at in book.family.enclosing(place, book.steps[wanted].scope)
        if (before := f"{wanted}@{at.code}") in sheet.steps
    )
    return StepAt(key, card.name if card else code.removeprefix(FIRST), place, minutes, requires, (), ())


def _task(key: str, book: ServiceBook, sheet: Sheet) -> Task:
    code, place = _apart(key, book)
    test = book.test_points.get(code.removeprefix(TEST)) if code.startswith(TEST) else None
    card = test or book.operations.get(code)
    kept = sheet.tasks[key]
    return Task(key, code, card.name if card else code, place, kept.minutes, kept.steps, (), ())


def _apart(key: str, book: ServiceBook) -> tuple[str, PositionCard]:
    """The code and the place in a key like cover@A."""
    code, _, at = key.rpartition("@")
    place = book.family.position(at) if code else None
    return code or key, place or book.family.of_scope("engine")[0]
