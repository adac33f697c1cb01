"""How long work has taken, beside the minutes on record: under Shop. It proposes, and changes nothing."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from estimates.history import Line, fewest_times, history

ADMIN = {"operation": "operation", "test": "testpoint", "step": "accessstep"}


@require_safe
@login_required
def labour_history(request: HttpRequest) -> HttpResponse:
    fewest = fewest_times()
    families: dict[str, list[tuple[Line, str]]] = {}
    for line in history(fewest=fewest):
        families.setdefault(line.family_name, []).append((line, _record(line)))
    context = {"families": families.items(), "fewest": fewest}
    return render(request, "estimates/labour-history.html", context)


def _record(line: Line) -> str:
    """Where the minutes can be changed; "" where they are on record no more."""
    return reverse(f"admin:catalog_{ADMIN[line.kind]}_change", args=[line.pk]) if line.pk else ""
