"""What the work really took: minutes for each task and piece of teardown, and the parts that were used.

Anything may be corrected until the job is closed. A row that is sent empty is taken off again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from catalog.models import Part
from catalog.service_cards import ServiceBook
from estimates.actions import By, _changing, person
from estimates.agreed import Agreed, agreed_work
from estimates.models import ActualPart, ActualTime, Job
from estimates.rules.bench import BenchRow, bench_rows
from shop.events import record
from shop.rules.entry import Faults

MOST_MINUTES, MOST_PIECES = 9999, 9999
BESIDE = "beside"
"""Work that no item of the estimate asked for; its rows have keys like beside:1."""


@dataclass(frozen=True)
class Minutes:
    """What was written down for a row; None takes it off."""

    key: str
    minutes: int | None
    note: str = ""


@dataclass(frozen=True)
class Used:
    """Pieces of a part really used for an item, "" for none of them; None takes it off."""

    item: str
    part: Part
    quantity: int | None
    note: str = ""


def rows_of(agreed: Agreed | None, book: ServiceBook, times: Sequence[ActualTime]) -> tuple[BenchRow, ...]:
    """The rows of the agreed work, and then what was written down beside it."""
    rows = bench_rows(*agreed_work(agreed, book)) if agreed else ()
    known = {row.key for row in rows}
    beside = (
        BenchRow(time.work, time.code, _beside_name(time, book), "", BESIDE, 0, frozenset())
        for time in times
        if time.work not in known
    )
    return (*rows, *beside)


def _beside_name(time: ActualTime, book: ServiceBook) -> str:
    code = time.code
    card = (
        book.operations.get(code) or book.steps.get(code) or book.test_points.get(code.removeprefix("test:"))
    )
    place = time.work.rpartition("@")[2] if "@" in time.work else ""
    position = book.family.position(place) if place else None
    where = f", {position.label}" if position is not None and position.scope != "engine" else ""
    return f"{card.name if card else code}{where}"


def times_of(job: Job) -> list[ActualTime]:
    """One statement."""
    return list(ActualTime.objects.filter(job=job).select_related("written_by").order_by("pk"))


def parts_of(job: Job) -> list[ActualPart]:
    """One statement."""
    rows = ActualPart.objects.filter(job=job)
    return list(rows.select_related("part__brand", "part__part_type", "written_by").order_by("pk"))


def write_minutes(
    job: Job,
    given: Sequence[Minutes],
    rows: Sequence[BenchRow],
    *,
    by: By,
    at: datetime,
    version: int | None = None,
) -> None:
    """Write minutes down against `rows`, all or none. Refused for a row that is not among them."""
    known = {row.key: row for row in rows}
    faults = Faults()
    for one in given:
        if one.key not in known:
            faults.near("minutes", "such work on this job", one.key, known)
    faults.refuse()
    with _changing(job, version):
        for one in given:
            row = known[one.key]
            if one.minutes is None:
                ActualTime.objects.filter(job=job, work=one.key).delete()
                continue
            ActualTime.objects.update_or_create(
                job=job,
                work=one.key,
                defaults={
                    "code": row.code,
                    "estimated": row.estimated,
                    "minutes": one.minutes,
                    "note": one.note,
                    "written_at": at,
                    "written_by_id": person(by),
                },
            )
        minutes: Mapping[str, int | None] = {one.key: one.minutes for one in given}
        record("minutes-written", job.number, at=at, by=by, minutes=dict(minutes))


def work_beside(book: ServiceBook, key: str, faults: Faults) -> BenchRow | None:
    """A row for work that the estimate does not hold, like "belt-replace@engine"; None with a fault."""
    code, _, at = key.rpartition("@")
    card = book.operations.get(code) or book.steps.get(code)
    test = book.test_points.get(code.removeprefix("test:")) if code.startswith("test:") else None
    scope = card.scope if card else test.scope if test else None
    if scope is None:
        faults.near("work", "such work on this engine", code or key, [*book.operations, *book.steps])
        return None
    place = book.family.position(at)
    if place is None or place.scope != scope:
        places = [one.code for one in book.family.of_scope(scope)]
        faults.near("work, position", "such place for it", at, places)
        return None
    name = card.name if card else test.name if test else code
    return BenchRow(key, code, name, place.label, BESIDE, 0, frozenset())


def write_parts(job: Job, given: Sequence[Used], *, by: By, at: datetime, version: int | None = None) -> None:
    """Write down the pieces that were used, all or none."""
    with _changing(job, version):
        for one in given:
            if one.quantity is None:
                ActualPart.objects.filter(job=job, item=one.item, part=one.part).delete()
                continue
            ActualPart.objects.update_or_create(
                job=job,
                item=one.item,
                part=one.part,
                defaults={
                    "quantity": one.quantity,
                    "note": one.note,
                    "written_at": at,
                    "written_by_id": person(by),
                },
            )
        record(
            "parts-used",
            job.number,
            at=at,
            by=by,
            parts=[f"{one.part}: {one.quantity if one.quantity is not None else 'off'}" for one in given],
        )
