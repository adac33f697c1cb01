"""Readings of a job: written down together or not at all, and taken off again one by one."""

from typing import Any

from django.db import transaction
from django.http import Http404
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.service_cards import ServiceBook
from estimates.actions import delete_reading, save_reading
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import ReadingsFileSerializer
from estimates.jobfile import readings_from
from estimates.models import Reading
from estimates.rules.intake import ReadingIn
from shop.api.permissions import signed_in
from shop.rules.entry import Faults, keys_entry

MOST = 500


class ReadingsView(JobChange):
    """Readings, one or many: all of them are written down or none.

    One already taken at the same test point, position and phase is replaced.
    """

    queryset = Reading.objects.all()

    @changes_a_job(ReadingsFileSerializer, operation_id="readings_take")
    def post(self, request: Request, number: str) -> Response:
        def take(desk: Desk, seen: int | None) -> None:
            readings = given_readings(request.data, desk.book)
            now = timezone.localtime()
            with transaction.atomic():
                for index, reading in enumerate(readings):
                    version = None if seen is None else seen + index
                    save_reading(desk.job, reading, by=signed_in(request), at=now, version=version)

        return self.change(request, number, take)


def given_readings(raw: Any, book: ServiceBook) -> tuple[ReadingIn, ...]:
    """The readings of a body, checked as a job file is. Refused with every fault."""
    faults = Faults()
    if keys_entry(raw, "the body", ("readings",), ("meter",), faults):
        listed = raw["readings"]
        if isinstance(listed, list) and not 1 <= len(listed) <= MOST:
            faults.add("readings", f"has {len(listed)} readings in it", f"give 1 to {MOST}")
    faults.refuse()
    readings = readings_from(raw, book, faults)
    faults.refuse()
    return readings


class ReadingView(JobChange):
    """One reading, named by its test point, position and phase."""

    queryset = Reading.objects.all()

    @changes_a_job(operation_id="readings_remove")
    def delete(self, request: Request, number: str, test_point: str, position: str, phase: str) -> Response:
        def remove(desk: Desk, seen: int | None) -> None:
            rows = Reading.objects.filter(job=desk.job).select_related("test_point", "position")
            key = (test_point, position, phase)
            row = next((r for r in rows if (r.test_point.code, r.position.code, r.phase) == key), None)
            if row is None:
                raise Http404(f"Job {number} has no reading {test_point} at {position} {phase} the repair.")
            delete_reading(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, remove)
