"""The technician's worksheet on paper: a tagged, accessible PDF (see shop.pdf), A4 or Letter."""

from datetime import date

from django.template.loader import get_template

from catalog.documents.words import DEMONSTRATION
from catalog.rules.interval import day_text
from estimates.documents.worksheet import Json
from shop.pdf import known_paper, write_pdf


def worksheet_html(document: Json, *, paper: str = "A4") -> str:
    """The finished HTML of a document made by estimates.documents.worksheet."""
    context = {
        "document": document,
        "notice": DEMONSTRATION if document["demonstration"] else "",
        "drawn_up": day_text(date.fromisoformat(document["drawn_up_on"])),
        "paper": known_paper(paper),
    }
    return get_template("documents/worksheet.html").render(context)


def worksheet_pdf(document: Json, *, paper: str = "A4") -> bytes:
    """The PDF of that. Raises shop.pdf.PdfUnavailable where Pango is missing."""
    return write_pdf(worksheet_html(document, paper=paper), "worksheet")
