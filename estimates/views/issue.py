"""Issuing: the draft becomes the next revision, and stays as it is."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed
from estimates.documents.pdf import PdfUnavailable
from estimates.issuing import issue
from estimates.views.common import desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, refused
from estimates.views.redirects import to_job
from shop.rules.errors import Fault, Refused


@require_POST
@login_required
def issue_estimate(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    try:
        issue(desk.job, by=signed_in(request), at=desk.now, version=seen_version(request))
    except Changed:
        alert = changed_meanwhile("issue", desk.job)
        return job_page(request, desk_for(pk), status=409, alert=alert)
    except Refused as refusal:
        return job_page(request, desk, status=422, alert=refused("issue", refusal.faults))
    except PdfUnavailable as missing:
        return job_page(request, desk, status=503, alert=refused("issue", [pdf_fault(missing)]))
    return to_job(pk, "issue")


def pdf_fault(missing: PdfUnavailable) -> Fault:
    return Fault("PDF", str(missing), "nothing was issued; install it, then try again")
