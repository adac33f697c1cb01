"""The spec sheet on paper: a tagged, accessible PDF (see shop.pdf), A4 or Letter."""

from datetime import date

from django.template.loader import get_template

from catalog.documents.sheet import facts
from catalog.documents.words import Json
from catalog.rules.interval import day_text
from shop.pdf import known_paper, write_pdf


def sheet_html(document: Json, *, on: date, paper: str = "A4", workshop: str = "") -> str:
    """The finished HTML of a document made by catalog.documents.sheet, printed on the day `on`."""
    marks = {source["code"]: mark for mark, source in enumerate(document["sources"], start=1)}
    context = {
        "document": document,
        "part_types": [
            (kind["name"], [(value, marks[value["source"]]) for value in kind["values"]])
            for kind in document["part_types"]
        ],
        "facts": facts(document),
        "with_also": any(value["also"] for kind in document["part_types"] for value in kind["values"]),
        "printed": day_text(on),
        "day": on.isoformat(),
        "paper": known_paper(paper),
        "workshop": workshop,
    }
    return get_template("documents/spec-sheet.html").render(context)


def sheet_pdf(document: Json, *, on: date, paper: str = "A4", workshop: str = "") -> bytes:
    """The PDF of that. Raises shop.pdf.PdfUnavailable where Pango is missing."""
    return write_pdf(sheet_html(document, on=on, paper=paper, workshop=workshop), "spec-sheet")
