"""A person's findings: written down with their reason, and taken off again."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed, delete_finding, save_finding
from estimates.forms.findings import FindingForm
from estimates.models import Finding
from estimates.views.common import desk_for, key_or_404, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, not_taken
from estimates.views.redirects import to_job


@require_POST
@login_required
def add_finding(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    form = FindingForm(request.POST, book=desk.book)
    if not form.is_valid():
        return job_page(request, desk, status=422, alert=not_taken("findings"), finding_form=form)
    try:
        save_finding(desk.job, form.judged, by=signed_in(request), at=desk.now, version=seen_version(request))
    except Changed:
        alert = changed_meanwhile("findings", desk.job, kept=True)
        return job_page(request, desk_for(pk), status=409, alert=alert, finding_form=form)
    return to_job(pk, "findings")


@require_POST
@login_required
def remove_finding(request: HttpRequest, pk: int) -> HttpResponse:
    desk, seen = desk_for(pk), seen_version(request)
    rows = Finding.objects.select_related("component", "position")
    finding = rows.filter(job=desk.job, pk=key_or_404(request.POST.get("finding", ""))).first()
    if finding is None and seen == desk.job.version:
        raise Http404("no such finding on this job")
    try:
        if finding is None:
            raise Changed.single("finding", "was removed meanwhile", "look again")
        delete_finding(desk.job, finding, by=signed_in(request), at=desk.now, version=seen)
    except Changed:
        alert = changed_meanwhile("findings", desk.job)
        return job_page(request, desk_for(pk), status=409, alert=alert)
    return to_job(pk, "findings")
