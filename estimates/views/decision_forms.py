"""What is recorded from the page of a job: a decision at the desk, private links, and what waits."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from estimates.actions import Changed
from estimates.decisions import decide
from estimates.documents.pdf import PdfUnavailable
from estimates.documents.receipt import receipt_pdf
from estimates.later import give_up, open_row, take_in
from estimates.links import make_link, revoke_link
from estimates.models import CustomerLink, Decision, IssuedEstimate
from estimates.views.common import Desk, desk_for, key_or_404, seen_version, signed_in
from estimates.views.files import _download
from estimates.views.page import changed_meanwhile, job_page, refused
from estimates.views.redirects import to_job
from shop.models import Workshop
from shop.rules.errors import Fault, Refused


def _latest(desk: Desk) -> IssuedEstimate:
    rows = IssuedEstimate.objects.filter(job=desk.job).select_related("replaced_by").order_by("-revision")
    row = rows.first()
    if row is None:
        raise Http404("nothing is issued on this job")
    return row


@require_POST
@login_required
def decide_at_desk(request: HttpRequest, pk: int) -> HttpResponse:
    """What the customer said at the desk or on paper, written down by whoever is signed in."""
    desk = desk_for(pk)
    accepted = request.POST.getlist("accept")
    name, note = request.POST.get("name", ""), request.POST.get("note", "")
    try:
        decide(
            _latest(desk),
            accepted,
            name=name,
            note=note,
            way="desk",
            at=desk.now,
            by=signed_in(request),
            sha256=request.POST.get("sha256", ""),
        )
    except Refused as refusal:
        alert = refused("decision", refusal.faults)
        typed = {"accepted": accepted, "name": name, "note": note}
        return job_page(request, desk, status=422, alert=alert, decided={"typed": typed})
    return to_job(pk, "decision")


@require_POST
@login_required
def new_link(request: HttpRequest, pk: int) -> HttpResponse:
    """A new private link; its address is shown in this one answer and never again."""
    desk = desk_for(pk)
    try:
        _, secret = make_link(_latest(desk), by=signed_in(request), at=desk.now)
    except Refused as refusal:
        return job_page(request, desk, status=422, alert=refused("decision", refusal.faults))
    address = request.build_absolute_uri(reverse("customer-estimate", args=[secret]))
    response = job_page(request, desk, decided={"new_link": address})
    response["Cache-Control"] = "no-store, private"
    return response


@require_POST
@login_required
def end_link(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    rows = CustomerLink.objects.filter(estimate__job=desk.job).select_related("estimate")
    link = get_object_or_404(rows, pk=key_or_404(request.POST.get("link", "")))
    revoke_link(link, by=signed_in(request), at=desk.now)
    return to_job(pk, "decision")


@require_safe
@login_required
def decision_receipt(request: HttpRequest, pk: int, decision: int) -> HttpResponse:
    """The receipt of one decision as a PDF."""
    rows = Decision.objects.select_related("estimate", "recorded_by").filter(estimate__job=pk)
    row = get_object_or_404(rows, pk=decision)
    try:
        pdf = receipt_pdf(row, paper=Workshop.objects.values_list("paper", flat=True).first() or "A4")
    except PdfUnavailable as missing:
        fault = Fault("PDF", str(missing), "install it, then try again")
        return job_page(request, desk_for(pk), status=503, alert=refused("decision", [fault]))
    return _download(pdf, "application/pdf", f"{row.estimate.number}-{row.estimate.revision}-decision.pdf")


@require_POST
@login_required
def later_item(request: HttpRequest, pk: int) -> HttpResponse:
    """Take one in as a finding of this job (`take`), or give it up (`drop`); both hold its key."""
    desk, seen, by = desk_for(pk), seen_version(request), signed_in(request)
    take = request.POST.get("take", "")
    row = open_row(desk.job, key_or_404(take or request.POST.get("drop", "")))
    try:
        if row is None:
            if seen == desk.job.version:
                raise Http404("nothing of that key waits on this machine")
            raise Changed.single("entry", "was settled meanwhile", "look again")
        if take:
            take_in(desk.job, row, desk.book.family, by=by, at=desk.now, version=seen)
        else:
            give_up(desk.job, row, by=by, at=desk.now, version=seen)
    except Changed:
        return job_page(request, desk_for(pk), status=409, alert=changed_meanwhile("later", desk.job))
    except Refused as refusal:
        return job_page(request, desk, status=422, alert=refused("later", refusal.faults))
    return to_job(pk, "later")
