"""What was left for later: it waits on the machine's record until it is done or given up, and is offered
again when a new job opens the same access.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog.cards import FamilyCard
from catalog.models import Component, Position
from catalog.rules.interval import day_text
from estimates.actions import By, _changing, save_finding
from estimates.builder import Built, build
from estimates.closed import refuse_closed
from estimates.models import Finding, Job, LaterItem
from estimates.rules.choosing import Offered
from estimates.rules.intake import JudgedIn
from estimates.rules.origins import origins_of_items
from estimates.rules.plan import places_in_words
from estimates.rules.sheet import Sheet
from shop.events import record
from shop.rules.errors import Refused

LONGEST_REASON = 300
Place = tuple[str, str]
"""Codes of a component and a position."""


@dataclass(frozen=True)
class Offer:
    """Something left for later on an earlier visit, beside the present work.

    `now` is what it adds to this visit, `later` what it comes to on one of its own, both with tax; `saving`
    is the difference where the present work opens access to it, None where it does not. `reached` says that
    the present work gets there, be it only to renew a small part on the way.
    """

    row: LaterItem
    found_again: bool
    now: Decimal | None = None
    later: Decimal | None = None
    saving: Decimal | None = None
    steps: tuple[str, ...] = ()
    reached: bool = False


# Left


def leave_for_later(job: Job, offer: Offered, accepted: Collection[str], *, at: datetime) -> None:
    """What was declined waits on the machine's record; what is agreed to after all no longer does.

    Called within the transaction of the decision. What has waited since an earlier visit keeps its record.
    """
    origins: dict[str, list[dict[str, str]]] = offer.document.get("origins", {})
    agreed = {_place(one) for key in accepted for one in origins.get(key, ())}
    left: dict[Place, Decimal | None] = {}
    for item in offer.items:
        if item.key in accepted:
            continue
        places = [place for one in origins.get(item.key, ()) if (place := _place(one)) not in agreed]
        worth = item.adds if item.group != "firm" else offer.without(item.key)
        left |= dict.fromkeys(places, worth if len(places) == 1 else None)
    rows = _rows(job, {*agreed, *left})
    findings = {_place(one): one for one in offer.document["findings"]}
    waiting = LaterItem.objects.filter(unit=job.unit_id, settled="").select_related("component", "position")
    there = {(row.component.code, row.position.code): row for row in waiting}
    for place in agreed & there.keys():
        if there[place].from_job_id == job.pk:
            there[place].delete()
    new = [place for place in left if place not in there and place in rows]
    LaterItem.objects.bulk_create(
        LaterItem(
            unit_id=job.unit_id,
            component=rows[place][0],
            position=rows[place][1],
            quantity=findings[place]["quantity"],
            why="advisory" if findings[place]["standing"] == "advisory" else "declined",
            reason="; ".join(findings[place]["reasons"])[:LONGEST_REASON],
            adds=left[place],
            from_job=job,
            noted_at=at,
        )
        for place in new
    )


def _place(one: dict[str, Any]) -> Place:
    return one["component"], one["position"]


def _rows(job: Job, places: Collection[Place]) -> dict[Place, tuple[Component, Position]]:
    """The records of these places; one that the catalogue no longer has is left out. Two statements."""
    family = job.unit.family_id
    components = Component.objects.filter(family=family, code__in={code for code, _ in places})
    positions = Position.objects.filter(family=family, code__in={code for _, code in places})
    by_code, at = {row.code: row for row in components}, {row.code: row for row in positions}
    return {(c, p): (by_code[c], at[p]) for c, p in places if c in by_code and p in at}


# Offered again


def waiting(job: Job, built: Built | None, today: date) -> list[Offer]:
    """What waits on the job's unit, oldest first; what earlier visits left is priced beside the present work.

    One statement where nothing waits. Otherwise the draft is built once more with what waits as options.
    """
    rows = LaterItem.objects.filter(unit=job.unit_id, settled="").order_by("noted_at", "pk")
    found = list(rows.select_related("component", "position", "from_job"))
    earlier = [row for row in found if row.from_job_id != job.pk]
    if not earlier or built is None:
        return [Offer(row, False) for row in found]
    known = {(one.component, one.position.code) for one in built.assessment.findings}
    positions = {position.code: position for position in built.book.family.positions}
    more = [
        JudgedIn(row.component.code, positions[row.position.code], "advisory", row.quantity, row.reason)
        for row in earlier
        if (row.component.code, row.position.code) not in known
    ]
    if not more:
        return [Offer(row, row in earlier) for row in found]
    brought = replace(built.job, judged=(*built.job.judged, *more))
    beside = build(brought, today, book=built.book)
    return [_offer(row, row in earlier, known, built, beside) for row in found]


def _offer(row: LaterItem, earlier: bool, known: Collection[Place], built: Built, beside: Built) -> Offer:
    place = (row.component.code, row.position.code)
    if not earlier or place in known:
        return Offer(row, earlier)
    origins = origins_of_items(beside.book, beside.plan.items, beside.assessment.findings)
    keys = {key for key, of in origins.items() if any(_place(one) == place for one in of)}
    priced = next((one for one in beside.priced.items if one.item.key in keys and one.adds is not None), None)
    if priced is None or priced.later is None:
        return Offer(row, False)
    opened = _opened(built.priced.sheet, built.priced.sheet.firm())
    shared = [key for key in beside.plan.steps if key in opened & _opened(beside.priced.sheet, keys)]
    names = tuple(
        " ".join(filter(None, (step.name, places_in_words((step.place,)))))
        for step in (beside.plan.steps[key] for key in shared)
    )
    assert priced.adds is not None
    saving = priced.later - priced.adds if shared else None
    # A small part without an operation of its own is on offer only because the present work touches it.
    reached = bool(shared) or not priced.item.tasks
    return Offer(row, False, priced.adds, priced.later, saving, names, reached)


def _opened(sheet: Sheet, keys: Iterable[str]) -> set[str]:
    """The access steps that these items open; what only a first position takes longer is no access."""
    steps = {step for key in keys for task in sheet.items[key].tasks for step in sheet.tasks[task].steps}
    return {step for step in steps if not step.startswith("first:")}


# Taken in, given up, done


def open_row(job: Job, pk: int) -> LaterItem | None:
    """The entry of the job's unit that still waits, None where there is none."""
    rows = LaterItem.objects.select_related("component", "position", "from_job")
    return rows.filter(pk=pk, unit=job.unit_id, settled="").first()


def take_in(
    job: Job, row: LaterItem, family: FamilyCard, *, by: By, at: datetime, version: int | None = None
) -> Finding:
    """An advisory finding on this job, whose reason says where it comes from. Refused where one is there."""
    refuse_closed(job)
    taken = Finding.objects.filter(job=job, component=row.component_id, position=row.position_id)
    if taken.exists():
        raise Refused.single(
            f"{row.component.name}", "is a finding on this job already", "change that finding instead"
        )
    place = next(p for p in family.positions if p.code == row.position.code)
    origin = f" (left for later on job {row.from_job.number}, {day_text(row.noted_at.date())})"
    reason = row.reason[: LONGEST_REASON - len(origin)] + origin
    judged = JudgedIn(row.component.code, place, "advisory", row.quantity, reason)
    return save_finding(job, judged, by=by, at=at, version=version)


def give_up(job: Job, row: LaterItem, *, by: By, at: datetime, version: int | None = None) -> None:
    """It no longer waits; the record of it stays."""
    refuse_closed(job)
    with _changing(job, version):
        _settle([row], "dropped", job, at)
        record("later-given-up", job.unit.number, at=at, by=by, item=_named(row), job=job.number)


def settle_done(job: Job, places: Collection[Place], *, by: By, at: datetime) -> None:
    """What was repaired on this job (codes of component and position) no longer waits on its unit.

    For the transaction that closes the job; `places_of` gives the places of items of a document.
    """
    rows = LaterItem.objects.filter(unit=job.unit_id, settled="").select_related("component", "position")
    done = [row for row in rows if (row.component.code, row.position.code) in places]
    _settle(done, "done", job, at)
    for row in done:
        record("later-done", job.unit.number, at=at, by=by, item=_named(row), job=job.number)


def places_of(document: dict[str, Any], items: Collection[str]) -> set[Place]:
    """The places that these items (keys) of an issued document repair."""
    origins = document.get("origins", {})
    return {_place(one) for key in items for one in origins.get(key, ())}


def _settle(rows: Iterable[LaterItem], how: str, job: Job, at: datetime) -> None:
    keys = [row.pk for row in rows]
    LaterItem.objects.filter(pk__in=keys).update(settled=how, settled_by=job, settled_at=at)


def _named(row: LaterItem) -> str:
    return f"{row.component.code}@{row.position.code}"
