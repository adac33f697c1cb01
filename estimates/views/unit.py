"""What is now known of the job's unit."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed, learn_about_unit
from estimates.forms.unit_facts import UnitFactsForm, on_record
from estimates.views.common import desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, not_taken
from estimates.views.redirects import to_job


@require_POST
@login_required
def unit_facts(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    form = UnitFactsForm(request.POST, family=desk.book.family, on_record=on_record(desk.job.unit))
    if not form.is_valid():
        return job_page(request, desk, status=422, alert=not_taken("machine"), unit_form=form)
    try:
        learn_about_unit(
            desk.job, form.unit, by=signed_in(request), at=desk.now, version=seen_version(request)
        )
    except Changed:
        alert = changed_meanwhile("machine", desk.job, kept=True)
        return job_page(request, desk_for(pk), status=409, alert=alert, unit_form=form)
    return to_job(pk, "machine")
