"""The technician's worksheet of a job, and for the writer alone what may be hidden, weighed."""

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.changes import problem_response
from estimates.api.desk import desk_for
from estimates.api.drafts import wants_pdf
from estimates.api.renderers import PDF, PdfRenderer, PlainJSONRenderer, Unavailable, pdf_file
from estimates.api.worksheet_shape import HiddenSerializer, WorksheetSerializer
from estimates.builder import build
from estimates.documents.worksheet_pdf import worksheet_pdf
from estimates.hidden import hidden_content
from estimates.models import Job
from estimates.worksheets import worksheet_of
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.pdf import PdfUnavailable


class WorksheetView(Api):
    """What comes off in which order, the work, what goes back on, and the readings to take afterwards: of
    what was agreed to, or while nothing is, of the firm work of the draft. No price is in it."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer, PdfRenderer)

    @extend_schema(
        responses={
            (200, "application/json"): WorksheetSerializer,
            (200, PDF): OpenApiTypes.BINARY,
            **problem_response(503, "This machine cannot make a PDF."),
        },
        operation_id="jobs_worksheet",
    )
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk, now = desk_for(number), timezone.localtime()
        built = build(desk.brought, now.date(), book=desk.book)
        document = worksheet_of(desk.job, built, now.date())
        if not wants_pdf(request):
            return Response(document)
        try:
            pdf = worksheet_pdf(document, paper=built.workshop.paper)
        except PdfUnavailable as missing:
            raise Unavailable(str(missing)) from missing
        return pdf_file(pdf, f"{number}-worksheet.pdf")


class HiddenView(Api):
    """What the job will come to on average, each item that is done only if found weighed by how likely that
    is. For the writer alone: it stands in no document."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=HiddenSerializer, operation_id="jobs_hidden")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk = desk_for(number)
        built = build(desk.brought, timezone.localtime().date(), book=desk.book)
        return Response(hidden_content(built))
