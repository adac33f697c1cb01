"""The calculators: a page each, its entries in the address, its answer below them."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe
from django_htmx.http import push_url

from catalog.forms.calculators import CalculatorForm
from catalog.rules.calculators.answer import Figure
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.shelf import CALCULATORS


@require_safe
@login_required
def calculators(request: HttpRequest) -> HttpResponse:
    """What there is to work out."""
    return render(request, "catalog/calculators.html", {"calculators": CALCULATORS.values()})


@require_safe
@login_required
def calculator(request: HttpRequest, code: str) -> HttpResponse:
    """One calculator. Without an entry in the address: the empty form."""
    if code not in CALCULATORS:
        raise Http404
    chosen = CALCULATORS[code]
    short = _short(request, chosen)
    if short != request.get_full_path() and not request.htmx:  # type: ignore[attr-defined]
        return redirect(short)
    asked = any(name in request.GET for name in chosen.names)
    form = CalculatorForm(chosen, request.GET if asked else None)
    context: dict[str, Any] = {"calculator": chosen, "form": form}
    if asked and form.is_valid() and form.answer is not None:
        answer = form.answer
        context |= {
            "answer": answer,
            "figures": [_told(figure) for figure in answer.figures],
            "rows": [(row, [_told(figure) for figure in row.figures]) for row in answer.rows],
            "remarks": any(row.remark for row in answer.rows),
        }
    response = render(request, "catalog/calculator.html", context)
    if request.htmx.target == "calculator":  # type: ignore[attr-defined]
        push_url(response, short)
    return response


def _short(request: HttpRequest, chosen: Calculator) -> str:
    """The address with only what was entered: worth keeping or passing on."""
    usual = {one.name: one.default for one in chosen.units}
    given = [
        (name, request.GET[name])
        for name in chosen.names
        if request.GET.get(name, "").strip() and request.GET[name] != usual.get(name)
    ]
    return request.path + (f"?{urlencode(given)}" if given else "")


def _told(figure: Figure) -> tuple[str, str, str]:
    """Its label, the figure in the unit chosen, and in the SI unit where that is another one."""
    if figure.asked and figure.asked != figure.unit:
        return figure.label, figure.text(figure.asked), figure.text()
    return figure.label, figure.text(), ""
