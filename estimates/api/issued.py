"""Issued estimates: made from a job's draft, and read byte for byte as they were frozen."""

from django.db import IntegrityError
from django.http import Http404, HttpResponse, HttpResponseNotModified
from django.utils import timezone
from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from estimates.actions import Changed
from estimates.api.changes import IF_MATCH, STALE, Stale, problem_response, seen_version, stale
from estimates.api.desk import desk_for
from estimates.api.document_shape import DocumentSerializer
from estimates.api.estimate_rows import EstimateSerializer, estimate_rows
from estimates.api.jobs import IDEMPOTENCY_KEY
from estimates.api.renderers import PDF, PdfRenderer, PlainJSONRenderer, Unavailable
from estimates.documents.pdf import PdfUnavailable
from estimates.issuing import issue
from estimates.models import IssuedEstimate, IssuedFile
from shop.api.conditional import matches_weakly
from shop.api.filters import check_parameters
from shop.api.idempotency import answered_once
from shop.api.permissions import signed_in
from shop.api.views import Api
from shop.rules.errors import Refused

LOCATION = OpenApiParameter(
    "Location", str, OpenApiParameter.HEADER, response=[201], description="the address of the document"
)


class IssueView(Api):
    """Freezes the draft of a job as the next revision of its estimate; it never changes again."""

    queryset = IssuedEstimate.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(
        request=None,
        responses={
            201: EstimateSerializer, **STALE, **problem_response(503, "This machine cannot make a PDF."),
            **problem_response(409, "A request with the same Idempotency-Key is being answered.")
        },
        parameters=[IF_MATCH, IDEMPOTENCY_KEY, LOCATION],
        operation_id="estimates_issue",
    )  # fmt: skip
    def post(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        try:
            return answered_once(request, lambda: issued(request, number), slow=True)
        except (Stale, Changed, IntegrityError):  # the last: two issued at once, the database took the first
            return stale(request, desk_for(number))


def issued(request: Request, number: str) -> Response:
    desk = desk_for(number)
    seen = seen_version(request, desk)
    if request.data:
        raise Refused.single("the body", "is not empty", "send none: what is issued is the draft")
    try:
        made = issue(desk.job, by=signed_in(request), at=timezone.localtime(), version=seen)
    except PdfUnavailable as missing:
        raise Unavailable(str(missing)) from missing
    row = EstimateSerializer(estimate_rows().get(pk=made.pk)).data
    address = reverse("api:estimate", [made.number, made.revision], request=request)
    return Response(row, status=201, headers={"Location": address})


class DocumentView(Api):
    """The canonical document (RFC 8785) exactly as it was frozen; its ETag is its SHA-256."""

    queryset = IssuedEstimate.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=DocumentSerializer, operation_id="estimates_retrieve")
    def get(self, request: Request, number: str, revision: int) -> HttpResponse:
        check_parameters(request, set())
        rows = IssuedEstimate.objects.values_list("document", "sha256")
        found = None if "\x00" in number else rows.filter(number=number, revision=revision).first()
        if found is None:
            raise Http404(f"There is no estimate {number!r} with a revision {revision}.")
        return _frozen(request, found[0].encode(), "application/json", found[1])


class PdfView(Api):
    """The PDF as it was given to the customer, byte for byte."""

    queryset = IssuedEstimate.objects.all()
    renderer_classes = (PdfRenderer,)

    @extend_schema(responses={(200, PDF): OpenApiTypes.BINARY}, operation_id="estimates_pdf")
    def get(self, request: Request, number: str, revision: int) -> HttpResponse:
        check_parameters(request, set())
        rows = IssuedFile.objects.filter(media_type=PDF, estimate__revision=revision)
        file = None if "\x00" in number else rows.filter(estimate__number=number).first()
        if file is None:
            raise Http404(f"There is no PDF of an estimate {number!r} with a revision {revision}.")
        response = _frozen(request, bytes(file.content), PDF, file.sha256)
        if response.status_code == 200:
            response["Content-Disposition"] = content_disposition_header(True, file.name) or "attachment"
        return response


def _frozen(request: Request, content: bytes, media_type: str, sha256: str) -> HttpResponse:
    tag = f'"{sha256}"'
    response: HttpResponse
    if matches_weakly(request.headers.get("If-None-Match", ""), tag):
        response = HttpResponseNotModified()
    else:
        response = HttpResponse(content, content_type=media_type)
    response["ETag"] = tag
    response["Cache-Control"] = "private, no-cache"
    return response
