"""The page that unfolds every figure of a job's estimate: for the shop's own people, it shows costs."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from estimates.documents.explanation import explanation_content, explanation_told
from estimates.views.common import desk_for
from estimates.views.page import try_to_build


@require_safe
@login_required
def explanation(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    figures = explanation_told(explanation_content(built)) if built else []
    context = {"job": desk.job, "figures": figures, "faults": faults}
    return render(request, "estimates/explanation.html", context)
