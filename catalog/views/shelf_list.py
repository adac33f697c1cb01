"""The shelf list: put a part on it, change it, show it, print it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog import shelf_list
from catalog.collecting import Asked, collected, orders, totals
from catalog.forms.question import MOST_PIECES, QuestionForm
from catalog.models import Part
from catalog.queries import family_cards
from catalog.shelf_list import Line
from catalog.views.counter import question_of
from shop.models import Workshop


@require_safe
@login_required
def the_list(request: HttpRequest) -> HttpResponse:
    held = shelf_list.lines(request.session)
    day = timezone.localdate()
    lines = collected(_asked(held), day)
    of_suppliers = orders(lines)
    context: dict[str, Any] = {
        "lines": lines,
        "orders": of_suppliers,
        "totals": totals(of_suppliers).items(),
        "workshop": Workshop.objects.first(),
        "day": day,
    }
    return render(request, "catalog/shelf-list.html", context)


def _asked(held: list[Line]) -> list[Asked]:
    families = family_cards({dict(line.known).get("family", "") for line in held} - {""})
    found = []
    for line in held:
        known = dict(line.known)
        if not known.get("family"):
            found.append(Asked(line, None))
            continue
        form = QuestionForm(known, families.get(known["family"]))
        if form.card is not None and form.is_valid():
            found.append(Asked(line, question_of(form)))
        else:
            found.append(
                Asked(line, None, "what was said about the engine cannot be read any more: ask again")
            )
    return found


@require_POST
@login_required
def add(request: HttpRequest) -> HttpResponse:
    """Puts a part on the list and goes back to the answer it was found in."""
    question = request.POST.get("question", "").removeprefix("?")
    part = request.POST.get("part", "")
    pieces = _figure(request.POST.get("pieces", "1"))
    back = f"{reverse('counter')}{'?' + question if question else ''}#answers"
    row = None
    if part.isascii() and part.isdigit() and len(part) < 19:
        row = Part.objects.filter(pk=int(part)).select_related("brand").first()
    if row is None or not pieces:
        messages.error(request, "Not put on the list: the part or the number of pieces cannot be read.")
        return redirect(back)
    line = Line(row.pk, pieces, request.POST.get("supplier", "")[:60], shelf_list.known(question))
    if shelf_list.add(request.session, line):
        messages.success(request, f"{row}, {pieces} piece{'s' if pieces > 1 else ''}: on the shelf list.")
    else:
        messages.error(request, f"The shelf list is full: {shelf_list.MOST_LINES} lines are all it holds.")
    return redirect(back)


@require_POST
@login_required
def change(request: HttpRequest) -> HttpResponse:
    """New pieces for one line, one line off, or all of them."""
    place = _figure(request.POST.get("place", ""))
    pieces = _figure(request.POST.get("pieces", ""))
    if "all" in request.POST:
        shelf_list.clear(request.session)
    elif place is not None and "off" in request.POST:
        shelf_list.change(request.session, place, 0)
    elif place is not None and pieces:
        shelf_list.change(request.session, place, pieces)
    else:
        messages.error(request, f"Not changed: write the pieces as a whole number from 1 to {MOST_PIECES}.")
    return redirect("shelf-list")


def _figure(text: str) -> int | None:
    text = text.strip()
    if not (text.isascii() and text.isdigit()) or len(text) > 4:
        return None
    return int(text)
