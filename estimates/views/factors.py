"""What takes longer on this machine: written down with its reason, and taken back."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed, delete_factor, save_factor
from estimates.forms.factors import FactorForm
from estimates.models import JobFactor
from estimates.views.common import desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, not_taken
from estimates.views.redirects import to_job

SECTION = "teardown"


@require_POST
@login_required
def add_factor(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    form = FactorForm(request.POST, book=desk.book)
    if not form.is_valid():
        return job_page(request, desk, status=422, alert=not_taken(SECTION), factor_form=form)
    by, seen = signed_in(request), seen_version(request)
    try:
        save_factor(desk.job, form.factor_in, by=by, at=desk.now, version=seen)
    except Changed:
        alert = changed_meanwhile(SECTION, desk.job, kept=True)
        return job_page(request, desk_for(pk), status=409, alert=alert, factor_form=form)
    return to_job(pk, SECTION)


@require_POST
@login_required
def remove_factor(request: HttpRequest, pk: int) -> HttpResponse:
    desk, seen = desk_for(pk), seen_version(request)
    step, _, at = request.POST.get("factor", "").partition("@")
    rows = JobFactor.objects.filter(job=desk.job).select_related("step", "position")
    factor = next(
        (r for r in rows if (r.step.code, r.position.code if r.position else "") == (step, at)), None
    )
    if factor is None and seen == desk.job.version:
        raise Http404("no such factor on this job")
    try:
        if factor is None:
            raise Changed.single("factor", "was removed meanwhile", "look again")
        delete_factor(desk.job, factor, by=signed_in(request), at=desk.now, version=seen)
    except Changed:
        return job_page(request, desk_for(pk), status=409, alert=changed_meanwhile(SECTION, desk.job))
    return to_job(pk, SECTION)
