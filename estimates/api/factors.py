"""What makes teardown slower on this machine: access steps whose minutes are multiplied, with the reason."""

from django.http import Http404
from django.utils import timezone
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.actions import delete_factor, save_factor
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk
from estimates.api.job_file_shape import FactorFileSerializer
from estimates.models import JobFactor
from estimates.rules.factors import factor_entry
from shop.api.permissions import signed_in
from shop.rules.entry import Faults

EVERYWHERE = "everywhere"


class FactorsView(JobChange):
    """A step that takes longer on this machine; the estimate prints the reason. One for the same step and
    position is replaced; without a position it holds wherever the step is done."""

    queryset = JobFactor.objects.all()

    @changes_a_job(FactorFileSerializer, operation_id="factors_set")
    def post(self, request: Request, number: str) -> Response:
        def set_factor(desk: Desk, seen: int | None) -> None:
            faults = Faults()
            factor = factor_entry(request.data, "factor", desk.book, faults)
            faults.refuse()
            assert factor is not None
            save_factor(desk.job, factor, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, set_factor)


class FactorView(JobChange):
    """One factor, named by its step and its position, or "everywhere"."""

    queryset = JobFactor.objects.all()

    @changes_a_job(operation_id="factors_remove")
    def delete(self, request: Request, number: str, step: str, position: str) -> Response:
        def remove(desk: Desk, seen: int | None) -> None:
            rows = JobFactor.objects.filter(job=desk.job).select_related("step", "position")
            wanted = (step, "" if position == EVERYWHERE else position)
            row = next(
                (r for r in rows if (r.step.code, r.position.code if r.position else "") == wanted), None
            )
            if row is None:
                raise Http404(f"Job {number} has no factor on {step} at {position}.")
            delete_factor(desk.job, row, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, remove)
