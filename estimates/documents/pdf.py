"""The estimate on paper: a tagged, accessible PDF (see shop.pdf) of a document, A4 or Letter."""

from __future__ import annotations

from typing import Any

from django.template.loader import get_template

from estimates.documents.wording import presented
from shop import pdf
from shop.pdf import PdfUnavailable, known_paper

__all__ = ["PdfUnavailable", "render_html", "render_pdf", "write_pdf"]


def render_pdf(
    document: dict[str, Any], *, sha256: str = "", paper: str = "A4", draft: bool = False
) -> bytes:
    """The PDF of a document made by estimates.documents.content. PdfUnavailable where Pango is missing.

    `sha256` is the checksum of the document's fixed form, printed short on every page and in full at the end.
    A draft is marked on every page and carries no place to sign.
    """
    return write_pdf(render_html(document, sha256=sha256, paper=paper, draft=draft))


def render_html(document: dict[str, Any], *, sha256: str = "", paper: str = "A4", draft: bool = False) -> str:
    """The finished HTML that `write_pdf` lays out; its style sheet is added there."""
    context = presented(document, sha256=sha256, paper=known_paper(paper), draft=draft)
    return get_template("documents/estimate.html").render(context)


def write_pdf(html: str) -> bytes:
    """The layout alone, on finished HTML of an estimate. Raises as shop.pdf.write_pdf."""
    return pdf.write_pdf(html, "estimate")
