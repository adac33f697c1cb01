"""The spec tables: every value on record with its limits, conditions and source, a page at a time."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.forms.choosing import KINDS, MOST_OFFERED
from catalog.forms.spec_filter import SpecFilterForm
from catalog.models import EngineFamily
from catalog.spec_cards import spec_card, spec_rows
from catalog.spec_pages import Page, Place, first_page, page_after, page_before
from shop.rules.errors import Refused

PER_PAGE = 50


@require_safe
@login_required
def spec_tables(request: HttpRequest) -> HttpResponse:
    form = SpecFilterForm(request.GET)
    context: dict[str, Any] = {"form": form}
    if form.is_valid():
        rows = spec_rows().filter(form.wanted)
        page, lost = _page(request, rows)
        unit = form.cleaned_data.get("unit", "")
        lines = [
            (card, card.figure_in(unit) if unit and card.unit else "") for card in map(spec_card, page.rows)
        ]
        family = form.cleaned_data["family"]
        context |= {
            "page": page,
            "lost": lost,
            "lines": lines,
            "unverified": sum(not card.verified for card, _ in lines),
            "family": EngineFamily.objects.filter(code=family).first() if family else None,
        }
    return render(request, "catalog/spec-tables.html", context)


def _page(request: HttpRequest, rows: Any) -> tuple[Page, bool]:
    """The page asked for, and whether its place could not be read; then it is the first one."""
    for name, turn in (("after", page_after), ("before", page_before)):
        text = request.GET.get(name, "")
        if text:
            try:
                return turn(rows, Place.read(text), PER_PAGE), False
            except Refused:
                return first_page(rows, PER_PAGE), True
    return first_page(rows, PER_PAGE), False


@require_safe
@login_required
def spec_choices(request: HttpRequest, kind: str) -> HttpResponse:
    """What a look-up field offers for what has been typed into it so far."""
    if kind not in KINDS:
        raise Http404
    text = request.GET.get(kind, "").replace("\x00", "").strip()
    offers = KINDS[kind].like(text, MOST_OFFERED) if text else []
    return render(request, "catalog/spec-choices.html", {"kind": kind, "offers": offers})
