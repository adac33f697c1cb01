"""The work on the page of a job: minutes and parts, as they are written down at the bench."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AbstractBaseUser
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from catalog.models import Part
from catalog.part_named import part_named
from estimates.agreed import agreed_on
from estimates.bench import (
    MOST_MINUTES,
    MOST_PIECES,
    Minutes,
    Used,
    rows_of,
    times_of,
    work_beside,
    write_minutes,
    write_parts,
)
from estimates.rules.bench import BenchRow
from estimates.views.common import Desk
from estimates.views.written import written
from shop.rules.entry import Faults, text_entry, whole_entry

ANOTHER = "another part"


@require_POST
@login_required
def minutes_taken(request: HttpRequest, pk: int) -> HttpResponse:
    """Every row as it now stands on the form; an empty one is taken off again."""

    def write(desk: Desk, by: AbstractBaseUser, version: int) -> None:
        times = times_of(desk.job)
        rows = list(rows_of(agreed_on(desk.job), desk.book, times))
        before = {time.work: (time.minutes, time.note) for time in times}
        faults, given = Faults(), []
        for row in rows:
            if f"min-{row.key}" not in request.POST:
                continue
            one = _minutes(request, row.key, row.name, faults)
            if (one.minutes, one.note) != before.get(row.key, (None, one.note)):
                given.append(one)
        extra = _beside(request, desk, faults)
        faults.refuse()
        if extra is not None:
            rows.append(extra[0])
            given.append(extra[1])
        write_minutes(desk.job, given, rows, by=by, at=desk.now, version=version)

    return written(request, pk, "work", write)


def _minutes(request: HttpRequest, key: str, name: str, faults: Faults) -> Minutes:
    text = request.POST.get(f"min-{key}", "").strip()
    note = text_entry(request.POST.get(f"note-{key}", ""), f"{name}, note", faults, longest=200)
    if not text:
        return Minutes(key, None, note)
    minutes = whole_entry(text, f"{name}, minutes", faults, least=0, most=MOST_MINUTES)
    return Minutes(key, minutes, note)


def _beside(request: HttpRequest, desk: Desk, faults: Faults) -> tuple[BenchRow, Minutes] | None:
    code, place = request.POST.get("beside-work", ""), request.POST.get("beside-place", "")
    text = request.POST.get("beside-minutes", "").strip()
    if not code and not text:
        return None
    if not code or not text:
        faults.add("work beside the estimate", "is half filled in", "choose the work and give its minutes")
        return None
    row = work_beside(desk.book, f"{code}@{place}", faults)
    minutes = whole_entry(text, "work beside the estimate, minutes", faults, least=0, most=MOST_MINUTES)
    return None if row is None else (row, Minutes(row.key, minutes))


@require_POST
@login_required
def parts_used(request: HttpRequest, pk: int) -> HttpResponse:
    def write(desk: Desk, by: AbstractBaseUser, version: int) -> None:
        faults, given = Faults(), []
        names = [name.removeprefix("used-") for name in request.POST if name.startswith("used-")]
        parts = Part.objects.select_related("brand").in_bulk(
            [int(n.rpartition("|")[2]) for n in names if n.rpartition("|")[2].isdecimal()]
        )
        for name in names:
            item, _, key = name.rpartition("|")
            part = parts.get(int(key)) if key.isdecimal() else None
            if part is None:
                continue
            text = request.POST[f"used-{name}"].strip()
            pieces = whole_entry(text, f"{part}, pieces", faults, least=0, most=MOST_PIECES) if text else None
            note = request.POST.get(f"partnote-{name}", "")
            given.append(Used(item, part, pieces, text_entry(note, f"{part}, note", faults, longest=200)))
        text = request.POST.get("beside-part", "").strip()
        if text:
            pieces = whole_entry(
                request.POST.get("beside-pieces", ""),
                "another part, pieces",
                faults,
                least=1,
                most=MOST_PIECES,
            )
            faults.refuse()
            given.append(Used("", part_named(text, ANOTHER), pieces))
        faults.refuse()
        write_parts(desk.job, given, by=by, at=desk.now, version=version)

    return written(request, pk, "work", write)
