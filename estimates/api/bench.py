"""What the work of a job took: minutes and parts, read and written down."""

from typing import Any

from django.db import transaction
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.service_cards import ServiceBook
from estimates.agreed import agreed_on
from estimates.api.after_shape import WorkDoneSerializer, WorkFileSerializer
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk, desk_for
from estimates.api.purchases import MOST_LINES, listed, part_entry
from estimates.bench import (
    MOST_MINUTES,
    MOST_PIECES,
    Minutes,
    Used,
    parts_of,
    rows_of,
    times_of,
    work_beside,
    write_minutes,
    write_parts,
)
from estimates.models import ActualTime
from estimates.purchases import purchase_list
from estimates.rules.bench import BenchRow
from shop.api.filters import check_parameters
from shop.api.permissions import signed_in
from shop.rules.entry import Faults, keys_entry, text_entry, whole_entry

Json = dict[str, Any]


def work_answer(desk: Desk) -> Json:
    """Every row with what is written down against it."""
    agreed, times = agreed_on(desk.job), times_of(desk.job)
    taken = {time.work: time for time in times}
    wanted = purchase_list(agreed, (), timezone.localdate()).pieces if agreed else {}
    used = {(one.item, one.part_id): one for one in parts_of(desk.job)}
    pieces = {key: (part, quantity) for key, (part, quantity) in wanted.items()}
    for key, one in used.items():
        pieces.setdefault(key, (one.part, 0))
    return {
        "minutes": [
            {
                "work": row.key,
                "code": row.code,
                "name": row.name,
                "where": row.where,
                "item": row.item,
                "estimated": row.estimated,
                "minutes": taken[row.key].minutes if row.key in taken else None,
                "note": taken[row.key].note if row.key in taken else "",
            }
            for row in rows_of(agreed, desk.book, times)
        ],
        "parts": [
            {
                "item": item,
                "part": f"{part.brand.code}/{part.number}",
                "estimated": quantity,
                "quantity": used[item, pk].quantity if (item, pk) in used else None,
                "note": used[item, pk].note if (item, pk) in used else "",
            }
            for (item, pk), (part, quantity) in pieces.items()
        ],
    }


class WorkView(JobChange):
    """Minutes for each task and piece of teardown, and the parts that were used."""

    queryset = ActualTime.objects.all()

    @extend_schema(responses=WorkDoneSerializer, operation_id="jobs_work")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        return Response(work_answer(desk_for(number)))

    @changes_a_job(WorkFileSerializer, operation_id="jobs_work_write")
    def put(self, request: Request, number: str) -> Response:
        """Writes down what is given, all of it or none; what is not named stays. Null takes a row off."""

        def write(desk: Desk, seen: int | None) -> None:
            rows = list(rows_of(agreed_on(desk.job), desk.book, times_of(desk.job)))
            minutes, parts = given_work(request.data, rows, desk.book)
            by, now = signed_in(request), timezone.localtime()
            with transaction.atomic():
                if minutes or not parts:
                    write_minutes(desk.job, minutes, rows, by=by, at=now, version=seen)
                    seen = None if seen is None else seen + 1
                if parts:
                    write_parts(desk.job, parts, by=by, at=now, version=seen)

        return self.change(request, number, write)


def given_work(raw: Any, rows: list[BenchRow], book: ServiceBook) -> tuple[list[Minutes], list[Used]]:
    """Minutes and parts of a body; work beside the estimate is added to `rows`. Refused with every fault."""
    faults = Faults()
    if not keys_entry(raw, "the body", (), ("minutes", "parts"), faults):
        faults.refuse()
    minutes = []
    for index, one in enumerate(listed(raw.get("minutes", []), "minutes", MOST_LINES, faults)):
        given = _minutes(one, f"minutes[{index}]", rows, book, faults)
        minutes += [given] if given is not None else []
    parts = []
    for index, one in enumerate(listed(raw.get("parts", []), "parts", MOST_LINES, faults)):
        used = _used(one, f"parts[{index}]", faults)
        parts += [used] if used is not None else []
    faults.refuse()
    return minutes, parts


def _minutes(raw: Any, where: str, rows: list[BenchRow], book: ServiceBook, faults: Faults) -> Minutes | None:
    if not keys_entry(raw, where, ("work", "minutes"), ("note",), faults):
        return None
    key = text_entry(raw["work"], f"{where}, work", faults, longest=160, required=True)
    if key and key not in {row.key for row in rows}:
        beside = work_beside(book, key, faults)
        if beside is not None:
            rows.append(beside)
    note = text_entry(raw.get("note"), f"{where}, note", faults, longest=200)
    if raw["minutes"] is None:
        return Minutes(key, None, note)
    minutes = whole_entry(raw["minutes"], f"{where}, minutes", faults, least=0, most=MOST_MINUTES)
    return None if minutes is None else Minutes(key, minutes, note)


def _used(raw: Any, where: str, faults: Faults) -> Used | None:
    if not keys_entry(raw, where, ("part", "quantity"), ("item", "note"), faults):
        return None
    item = text_entry(raw.get("item"), f"{where}, item", faults, longest=160)
    note = text_entry(raw.get("note"), f"{where}, note", faults, longest=200)
    part = part_entry(raw["part"], f"{where}, part", faults)
    quantity = None
    if raw["quantity"] is not None:
        quantity = whole_entry(raw["quantity"], f"{where}, quantity", faults, least=0, most=MOST_PIECES)
        if quantity is None:
            return None
    return None if part is None else Used(item, part, quantity, note)
