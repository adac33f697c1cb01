"""The forms an answer comes in: JSON with one spelling, so that its tag stands for its bytes, and PDF."""

from typing import Any

from django.utils.http import content_disposition_header
from rest_framework import exceptions
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.response import Response

from estimates.documents.pdf import PdfUnavailable, render_pdf

PDF = "application/pdf"


class PlainJSONRenderer(JSONRenderer):
    def get_indent(self, *args: Any) -> None:
        """Never: a client that asked for indented JSON would hold another tag than one that did not."""


class PdfRenderer(BaseRenderer):
    media_type = PDF
    format = "pdf"
    charset = None
    render_style = "binary"

    def render(self, data: bytes, *args: Any, **kwargs: Any) -> bytes:
        return data


class Unavailable(exceptions.APIException):
    """Something this machine lacks; the rest works."""

    status_code = 503


def pdf_answer(document: dict[str, Any], name: str, **how: Any) -> Response:
    """A document on paper; `how` as estimates.documents.pdf.render_pdf takes it."""
    try:
        return pdf_file(render_pdf(document, **how), name)
    except PdfUnavailable as missing:
        raise Unavailable(str(missing)) from missing


def pdf_file(content: bytes, name: str) -> Response:
    disposition = content_disposition_header(True, name) or "attachment"
    return Response(content, headers={"Content-Disposition": disposition})
