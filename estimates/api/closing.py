"""Closing a job, and its closing statement as it was frozen."""

from typing import Any

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.after_shape import ClosingFileSerializer, ClosingSerializer
from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk, desk_for
from estimates.api.issued import _frozen
from estimates.api.purchases import MOST_LINES, listed
from estimates.api.renderers import PDF, PdfRenderer, Unavailable
from estimates.closing import LONGEST_NOTE, close
from estimates.models import Closing
from shop.api.filters import check_parameters
from shop.api.permissions import signed_in
from shop.api.views import Api
from shop.pdf import PdfUnavailable
from shop.rules.entry import Faults, keys_entry, text_entry, whole_entry


class ClosingView(JobChange):
    """The closing statement of a job: the canonical JSON (RFC 8785) as it was frozen; its ETag is its
    SHA-256. `shop` in it is the shop's own knowledge and is not in the customer's copy, the PDF."""

    queryset = Closing.objects.all()

    @extend_schema(responses=ClosingSerializer, operation_id="jobs_closing")
    def get(self, request: Request, number: str) -> HttpResponse:
        check_parameters(request, set())
        row = _row(number)
        return _frozen(request, row.document.encode(), "application/json", row.sha256)

    @changes_a_job(ClosingFileSerializer, operation_id="jobs_close")
    def post(self, request: Request, number: str) -> Response:
        """Closes the job. It takes no more changes afterwards."""

        def write(desk: Desk, seen: int | None) -> None:
            given = given_closing(request.data)
            by, now = signed_in(request), timezone.localtime()
            try:
                close(desk.job, by=by, at=now, version=seen, **given)
            except PdfUnavailable as missing:
                raise Unavailable(str(missing)) from missing

        return self.change(request, number, write)


def given_closing(raw: Any) -> dict[str, Any]:
    """What a body says about closing. Refused with every fault."""
    faults = Faults()
    if not keys_entry(raw, "the body", (), ("arisen", "returned", "note"), faults):
        faults.refuse()
    arisen = [
        text_entry(one, f"arisen[{index}]", faults, longest=160, required=True)
        for index, one in enumerate(listed(raw.get("arisen", []), "arisen", MOST_LINES, faults))
    ]
    returned: dict[str, int] = {}
    given = raw.get("returned", {})
    if not isinstance(given, dict):
        faults.add("returned", "is not an object", 'write it in braces, {"...": 1}')
        given = {}
    for key, pieces in given.items():
        number = whole_entry(pieces, f"returned, {key}", faults, least=0, most=9999)
        returned |= {} if number is None else {str(key): number}
    note = text_entry(raw.get("note"), "note", faults, longest=LONGEST_NOTE)
    faults.refuse()
    return {"arisen": arisen, "returned": returned, "note": note}


class ClosingPdfView(Api):
    """The customer's copy of the closing statement, byte for byte."""

    queryset = Closing.objects.all()
    renderer_classes = (PdfRenderer,)

    @extend_schema(responses={(200, PDF): OpenApiTypes.BINARY}, operation_id="jobs_closing_pdf")
    def get(self, request: Request, number: str) -> HttpResponse:
        check_parameters(request, set())
        row = _row(number)
        response = _frozen(request, bytes(row.pdf), PDF, row.pdf_sha256)
        if response.status_code == 200:
            name = f"closing-{number}.pdf"
            response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
        return response


def _row(number: str) -> Closing:
    desk = desk_for(number)
    row = Closing.objects.filter(job=desk.job).first()
    if row is None:
        raise Http404(f"Job {number} is not closed.")
    return row
