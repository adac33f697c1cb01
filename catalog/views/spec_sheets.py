"""The spec sheet of an engine family: on the page, on paper, as CSV and as JSON, all of one content."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_safe

from catalog.documents.sheet import facts, sheet
from catalog.documents.sheet_csv import sheet_csv
from catalog.documents.sheet_pdf import sheet_pdf
from catalog.models import EngineFamily
from shop.models import Workshop
from shop.pdf import PdfUnavailable


@require_safe
@login_required
def spec_sheet(request: HttpRequest, code: str) -> HttpResponse:
    return _page(request, _document(request, code))


@require_safe
@login_required
def spec_sheet_pdf(request: HttpRequest, code: str) -> HttpResponse:
    document = _document(request, code)
    workshop = Workshop.objects.first()
    paper, name = (workshop.paper, workshop.name) if workshop else ("A4", "")
    try:
        pdf = sheet_pdf(document, on=timezone.localdate(), paper=paper, workshop=name)
    except PdfUnavailable as missing:
        return _page(request, document, status=503, alert=str(missing))
    return _file(HttpResponse(pdf, content_type="application/pdf"), code, "pdf")


@require_safe
@login_required
def spec_sheet_csv(request: HttpRequest, code: str) -> HttpResponse:
    text = sheet_csv(_document(request, code))
    return _file(HttpResponse(text, content_type="text/csv; charset=utf-8; header=present"), code, "csv")


@require_safe
@login_required
def spec_sheet_json(request: HttpRequest, code: str) -> HttpResponse:
    answer = JsonResponse(_document(request, code), json_dumps_params={"ensure_ascii": False, "indent": 1})
    return _file(answer, code, "json")


def _document(request: HttpRequest, code: str) -> dict[str, Any]:
    try:
        return sheet(code, also=_also(request))
    except EngineFamily.DoesNotExist:
        raise Http404 from None


def _also(request: HttpRequest) -> bool:
    return request.GET.get("also") == "customary"


def _page(
    request: HttpRequest, document: dict[str, Any], *, status: int = 200, alert: str = ""
) -> HttpResponse:
    context = {"document": document, "facts": facts(document), "also": _also(request), "alert": alert}
    return render(request, "catalog/spec-sheet.html", context, status=status)


def _file(response: HttpResponse, code: str, kind: str) -> HttpResponse:
    response["Content-Disposition"] = (
        content_disposition_header(True, f"{code}-spec-sheet.{kind}") or "attachment"
    )
    response["Cache-Control"] = "private, no-cache"
    return response
