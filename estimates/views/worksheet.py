"""The technician's worksheet as a PDF, from the job as it stands."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from estimates.documents.worksheet_pdf import worksheet_pdf
from estimates.views.common import desk_for
from estimates.views.page import job_page, refused, try_to_build
from estimates.worksheets import worksheet_of
from shop.pdf import PdfUnavailable
from shop.rules.errors import Fault

SECTION = "teardown"


@require_safe
@login_required
def worksheet_file(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused(SECTION, faults))
    try:
        pdf = worksheet_pdf(worksheet_of(desk.job, built, desk.now.date()), paper=built.workshop.paper)
    except PdfUnavailable as missing:
        fault = Fault("PDF", str(missing), "install it, then try again")
        return job_page(request, desk, status=503, alert=refused(SECTION, [fault]))
    response = HttpResponse(pdf, content_type="application/pdf")
    name = f"{desk.job.number}-worksheet.pdf"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Cache-Control"] = "private, no-cache"
    return response
