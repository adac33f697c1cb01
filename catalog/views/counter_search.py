"""The counter's search: suggestions while somebody types, and the list of what was found."""

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from catalog.forms.question import OPTION
from catalog.rules.ranking import Hit
from catalog.search.find import search
from shop.rules.errors import Refused

SUGGESTED_AT_MOST = 8
LISTED_AT_MOST = 40
# What is known of the engine stays while one asks for one part after another.
OF_THE_ENGINE = ("family", "built", "serial", "position")


@require_safe
@login_required
def suggestions(request: HttpRequest) -> HttpResponse:
    """The options below the box, as far as something has been typed."""
    hits: list[tuple[Hit, str]] = []
    try:
        answer = search(request.GET.get("q", ""), SUGGESTED_AT_MOST)
        hits = [(hit, address(hit, request.GET)) for _, hit in answer.hits]
    except Refused:
        pass  # half a line typed: nothing to suggest yet
    return render(request, "catalog/suggestions.html", {"hits": hits})


def looked_up(line: str, asked: Mapping[str, str]) -> dict[str, Any]:
    """What the page shows of a search: `found`, or `only`, the address of the one thing it can mean."""
    try:
        answer = search(line, LISTED_AT_MOST)
    except Refused as refused:
        return {"line": line, "unread": [f"{fault.what}; {fault.right}" for fault in refused.faults]}
    sure = [hit for _, hit in answer.hits if hit.found in ("number", "supplier", "family")]
    if len(sure) == 1 or (len(answer.hits) == 1 and answer.hits[0][1].found != "slip"):
        return {"line": line, "only": address((sure or [answer.hits[0][1]])[0], asked)}
    found = [(rank, hit, address(hit, asked)) for rank, hit in answer.hits]
    return {"line": line, "found": found, "remarks": answer.remarks, "more": answer.more}


def address(hit: Hit, asked: Mapping[str, str]) -> str:
    """The counter's answer about a hit, with what is known of the engine so far."""
    key = dict(hit.key)
    question: dict[str, str] = {("type" if name == "part_type" else name): key[name] for name in key}
    if hit.kind == "family":
        # An engine after a part: what was asked for is asked for this engine.
        question |= {name: asked[name] for name in ("number", "brand", "type") if asked.get(name)}
    same = question.get("family") in (None, asked.get("family"))
    kept = dict(kept_of(asked, ("quantity", "order"))) if same else {}
    return f"{reverse('counter')}?{urlencode({**kept, **question})}"


def kept_of(asked: Mapping[str, str], more: tuple[str, ...] = ()) -> list[tuple[str, str]]:
    """What is known of the engine, and `more`, as it goes along with the next question."""
    names = (*OF_THE_ENGINE, *more)
    return [(n, str(v)) for n, v in asked.items() if v and (n in names or n.startswith(OPTION))]
