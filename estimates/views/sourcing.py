"""By when the parts are needed and how they are bought, set on the page of a job."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed
from estimates.forms.sourcing import SourcingForm
from estimates.sourcing import set_sourcing
from estimates.views.common import desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, not_taken
from estimates.views.redirects import to_job
from shop.models import Workshop
from shop.rules.errors import Refused

SECTION = "sourcing"
FIELDS = {"needed by": "needed_by", "plan": "plan"}


@require_POST
@login_required
def sourcing(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    form = SourcingForm(request.POST, job=desk.job, workshop=Workshop.objects.filter(pk=1).first())
    if form.is_valid():
        given = form.cleaned_data
        try:
            set_sourcing(
                desk.job,
                needed_by=given["needed_by"],
                plan=given["plan"],
                by=signed_in(request),
                at=desk.now,
                version=seen_version(request),
            )
            return to_job(pk, SECTION)
        except Changed:
            alert = changed_meanwhile(SECTION, desk.job, kept=True)
            return job_page(request, desk_for(pk), status=409, alert=alert, sourcing_form=form)
        except Refused as refusal:
            for fault in refusal.faults:
                form.add_error(FIELDS[fault.where], f"{fault.what}; {fault.right}.")
    return job_page(request, desk, status=422, alert=not_taken(SECTION), sourcing_form=form)
