"""Up to four parts side by side."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.documents.comparison import MOST, comparison, parts_to_compare
from shop.rules.errors import Refused


@require_safe
@login_required
def part_comparison(request: HttpRequest) -> HttpResponse:
    """The parts named in the address (part=brand/number, each), with a field for every further one."""
    named = [text.strip() for text in request.GET.getlist("part") if text.strip()]
    also = request.GET.get("also") == "customary"
    context: dict[str, Any] = {"also": also, "most": MOST}
    status = 200
    try:
        parts = parts_to_compare(named, "part")
    except Refused as refused:
        context["faults"], status = refused.faults, 400
    else:
        if parts:
            context["document"] = _with_columns(comparison(parts, also=also))
    context["fields"] = (named + [""] * MOST)[:MOST]
    return render(request, "catalog/part-comparison.html", context, status=status)


def _with_columns(document: dict[str, Any]) -> dict[str, Any]:
    """The same with each row's cells beside the part they belong to, as a table needs them."""
    for row in document["rows"]:
        row["cells"] = list(zip(document["parts"], row["values"], row["against"], strict=True))
    return document
