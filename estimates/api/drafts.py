"""Estimates that are not issued yet: the draft of a job, and one built from a job file without keeping it."""

from typing import Any

from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.changes import problem_response
from estimates.api.desk import desk_for
from estimates.api.document_shape import DraftSerializer
from estimates.api.job_file_shape import JobFileSerializer
from estimates.api.renderers import PDF, PdfRenderer, PlainJSONRenderer, pdf_answer
from estimates.builder import Built, build
from estimates.issuing import check_issuable, draft_content, freeze, last_document
from estimates.jobfile import job_from
from estimates.models import Job
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.rules.errors import Refused

FORMS = {
    (200, "application/json"): DraftSerializer,
    (200, PDF): OpenApiTypes.BINARY,
    **problem_response(503, "This machine cannot make a PDF."),
}


def problems_of(built: Built) -> list[dict[str, str]]:
    """What stands in the way of issuing it."""
    try:
        check_issuable(built)
    except Refused as refusal:
        return [{"where": f.where, "what": f.what, "right": f.right} for f in refusal.faults]
    return []


def wants_pdf(request: Request) -> bool:
    return bool(request.accepted_renderer.format == PdfRenderer.format)


class DraftView(Api):
    """The estimate of a job as it would be issued today; as a PDF it is marked as a draft."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer, PdfRenderer)

    @extend_schema(responses=FORMS, operation_id="jobs_draft")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk, now = desk_for(number), timezone.localtime()
        built = build(desk.brought, now.date(), book=desk.book)
        last = last_document(desk.job)
        document = draft_content(built, now, last["revision"] + 1 if last else 1, last)
        if wants_pdf(request):
            name = f"{document['number']}-draft.pdf"
            return pdf_answer(document, name, paper=built.workshop.paper, draft=True)
        return Response({**document, "problems": problems_of(built)})


class BuildView(Api):
    """An estimate built from a job file. Nothing is stored.

    As a PDF it has to be one that could be issued.
    """

    only_answers = True
    renderer_classes = (PlainJSONRenderer, PdfRenderer)

    @extend_schema(request=JobFileSerializer, responses=FORMS, operation_id="estimates_build")
    def post(self, request: Request) -> Response:
        check_parameters(request, set())
        now = timezone.localtime()
        job, book = job_from(request.data, now.date())
        built = build(job, now.date(), book=book)
        document: dict[str, Any] = draft_content(built, now)
        if wants_pdf(request):
            check_issuable(built)
            sha256 = freeze(document).sha256
            return pdf_answer(
                document, f"{document['number']}.pdf", sha256=sha256, paper=built.workshop.paper
            )
        return Response({**document, "problems": problems_of(built)})
