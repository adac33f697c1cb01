"""Findings a person makes: written down with their reason, and taken off again."""

from django.http import Http404
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.actions import delete_finding, save_finding
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import FindingFileSerializer
from estimates.models import Finding
from estimates.rules.entry import finding_entry
from shop.api.permissions import signed_in
from shop.rules.entry import Faults


class FindingsView(JobChange):
    """A finding by a person. One for the same component and position is replaced; those computed from the
    readings stand beside it."""

    queryset = Finding.objects.all()

    @changes_a_job(FindingFileSerializer, operation_id="findings_make")
    def post(self, request: Request, number: str) -> Response:
        def find(desk: Desk, seen: int | None) -> None:
            faults = Faults()
            judged = finding_entry(request.data, "finding", desk.book, faults)
            faults.refuse()
            assert judged is not None
            save_finding(desk.job, judged, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, find)


class FindingView(JobChange):
    """One finding by a person, named by its component and position. A computed one cannot be taken off: it
    follows from the readings."""

    queryset = Finding.objects.all()

    @changes_a_job(operation_id="findings_remove")
    def delete(self, request: Request, number: str, component: str, position: str) -> Response:
        def remove(desk: Desk, seen: int | None) -> None:
            rows = Finding.objects.filter(job=desk.job).select_related("component", "position")
            key = (component, position)
            row = next((r for r in rows if (r.component.code, r.position.code) == key), None)
            if row is None:
                raise Http404(f"Job {number} has no finding by a person on {component} at {position}.")
            delete_finding(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, remove)
