"""Closing on the page of a job: what the statement would say, closing it, and what it said."""

from __future__ import annotations

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AbstractBaseUser
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from estimates.closing import LONGEST_NOTE, close
from estimates.models import Closing
from estimates.views.common import Desk, desk_for
from estimates.views.written import written
from shop.pdf import PdfUnavailable
from shop.rules.entry import Faults, text_entry, whole_entry
from shop.rules.errors import Refused

OLD_PARTS = "old parts that came back"


@require_POST
@login_required
def close_job(request: HttpRequest, pk: int) -> HttpResponse:
    def write(desk: Desk, by: AbstractBaseUser, version: int) -> None:
        faults = Faults()
        returned = {
            name.removeprefix("back-"): pieces
            for name in request.POST
            if name.startswith("back-") and (text := str(request.POST[name])).strip()
            and (pieces := whole_entry(text, OLD_PARTS, faults, least=0, most=9999)) is not None
        }  # fmt: skip
        note = text_entry(request.POST.get("note", ""), "note", faults, longest=LONGEST_NOTE)
        faults.refuse()
        arisen = request.POST.getlist("arisen")
        try:
            close(desk.job, by=by, at=desk.now, arisen=arisen, returned=returned, note=note, version=version)
        except PdfUnavailable as missing:
            raise Refused.single(
                "PDF", str(missing), "nothing was closed; install it, then try again"
            ) from None

    return written(request, pk, "closing", write)


@require_safe
@login_required
def closing_file(request: HttpRequest, pk: int, form: str) -> HttpResponse:
    """The statement as it was frozen: the customer's copy as "pdf", or the shop's record as "json"."""
    desk = desk_for(pk)
    row = Closing.objects.filter(job=desk.job).first()
    if row is None or form not in ("pdf", "json"):
        raise Http404("this job is not closed")
    if form == "pdf":
        response = HttpResponse(bytes(row.pdf), content_type="application/pdf")
    else:
        response = HttpResponse(row.document.encode(), content_type="application/json")
    name = f"closing-{desk.job.number}.{form}"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Cache-Control"] = "private, no-cache"
    return response
