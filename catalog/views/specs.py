"""The spec tables: every value on record with its limits, conditions and source, a page at a time."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalog.forms.spec_filter import SpecFilterForm
from catalog.lookup import Named, families_named, part_types_named
from catalog.models import Property
from catalog.spec_cards import spec_card, spec_rows

PER_PAGE = 50


@require_safe
@login_required
def spec_tables(request: HttpRequest) -> HttpResponse:
    properties = [
        (Named(code, name), unit)
        for code, name, unit in Property.objects.order_by("name").values_list("code", "name", "unit")
    ]
    form = SpecFilterForm(request.GET, families_named(), part_types_named(), properties)
    context: dict[str, Any] = {"form": form}
    if form.is_valid():
        chosen = form.cleaned_data
        paths = {"family": "family__code", "type": "part_type__code", "property": "property__code"}
        rows = spec_rows().filter(**{path: chosen[name] for name, path in paths.items() if chosen[name]})
        rows = rows.order_by("part_type__name", "property__name", "part__normalised", "condition", "pk")
        page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
        unit = chosen.get("unit", "")
        context["page"] = page
        context["lines"] = [
            (card, card.figure_in(unit) if unit and card.unit else "") for card in map(spec_card, page)
        ]
    return render(request, "catalog/spec-tables.html", context)
