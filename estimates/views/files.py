"""Files of an estimate: what was issued, byte for byte, and how the draft would look."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from estimates.documents.pdf import PdfUnavailable, render_pdf
from estimates.issuing import draft_content, estimate_number, last_document
from estimates.models import IssuedFile
from estimates.views.common import desk_for
from estimates.views.page import job_page, refused, try_to_build
from shop.rules.errors import Fault


@require_safe
@login_required
def issued_file(request: HttpRequest, pk: int, name: str) -> HttpResponse:
    file = get_object_or_404(IssuedFile, estimate__job=pk, name=name)
    return _download(bytes(file.content), file.media_type, file.name)


@require_safe
@login_required
def draft_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The draft on paper, marked as a draft on every page."""
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused("issue", faults))
    last = last_document(desk.job)
    document = draft_content(built, desk.now, last["revision"] + 1 if last else 1, last)
    try:
        pdf = render_pdf(document, paper=built.workshop.paper, draft=True)
    except PdfUnavailable as missing:
        fault = Fault("PDF", str(missing), "install it, then try again")
        return job_page(request, desk, status=503, alert=refused("issue", [fault]))
    return _download(pdf, "application/pdf", f"{estimate_number(desk.job.number)}-draft.pdf")


def _download(content: bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Cache-Control"] = "private, no-cache"
    return response
