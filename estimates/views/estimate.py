"""The estimate on the page of a job: the words of the document, with switches on what may be taken in.

A switch stays where it is when it is used: an item taken into the firm price is listed with the firm work,
and its switch still stands under "only if found on opening" or "if you wish".
"""

import json
import re
from datetime import date
from typing import Any

from django.db.models import Prefetch

from estimates.builder import Built
from estimates.decisions import decided_on, with_standing
from estimates.documents.changes import changes_told
from estimates.documents.wording import TAKEN_IN, presented
from estimates.forms.faults import sentence
from estimates.issuing import draft_content
from estimates.models import IssuedEstimate, IssuedFile, Job
from estimates.rules.life import standing
from estimates.rules.old_prices import stale_prices
from estimates.views.common import Desk
from estimates.views.teardown import hidden_told
from shop.rules.currency import format_money
from shop.rules.errors import Fault

Json = dict[str, Any]
OPTIONAL_GROUPS = {
    "contingent": (
        "Only if found on opening",
        "Not in the firm price. Each is done only if its condition turns out to hold; "
        "switch it on to take it into the firm price now.",
    ),
    "optional": (
        "If you wish",
        "Not in the firm price. The customer may leave these for another time; "
        "switch one on to take it into the firm price.",
    ),
}
# What differs between two issues of the same draft.
DATED = ("revision", "issued_on", "valid_until", "changes")


def estimate_section(desk: Desk, built: Built | None, faults: tuple[Fault, ...] = ()) -> Json:
    """Context of the estimate and of issuing it. Three statements."""
    revisions = _revisions(desk.job, desk.now.date())
    context: Json = {"revisions": revisions, "not_built": faults, "built": built is not None}
    if built is None:
        return context
    document = draft_content(
        built,
        desk.now,
        revisions[0]["row"].revision + 1 if revisions else 1,
        _last_document(revisions) if revisions else None,
    )
    shown = presented(document, draft=True)
    items = {group: _items(document, shown, group) for group in document["groups"]}
    return context | {
        "document": document,
        "shown": shown,
        "changes": changes_told(document["changes"]),
        "firm_items": items["firm"],
        "groups": [
            {"code": group, "title": title, "lead": lead, "items": _switched(items, group)}
            for group, (title, lead) in OPTIONAL_GROUPS.items()
        ],
        "problems": built.priced.problems,
        "hidden": hidden_told(built),
        "stale": stale_prices(built.supplies.values(), desk.now.date()),
        "issuable": bool(built.priced.items) and not built.priced.problems,
        "unchanged": bool(revisions) and _undated(document) == _undated(_last_document(revisions)),
    }


def _items(document: Json, shown: Json, group: str) -> list[Json]:
    pairs = zip(document["groups"][group], shown["groups"][group], strict=True)
    return [
        {
            **words,
            "key": item["key"],
            "origin": item["origin"],
            "switch": _switch_id(item["key"]),
            "texts": [sentence(text) for text in (*item["why"], item["description"]) if text],
            "taken_in": TAKEN_IN.get(item["origin"] or "", ""),
        }
        for item, words in pairs
    ]


def _switched(items: dict[str, list[Json]], group: str) -> list[Json]:
    """Everything a person may switch in this group, on or off, in an order that no switch changes."""
    off = [{**item, "on": False} for item in items[group]]
    on = [{**item, "on": True} for item in items["firm"] if item["origin"] == group]
    return sorted(off + on, key=lambda item: str(item["key"]))


def _switch_id(key: str) -> str:
    return "take-" + re.sub(r"[^a-zA-Z0-9]+", "-", key)


# What was issued


def _revisions(job: Job, today: date) -> list[Json]:
    files = IssuedFile.objects.defer("content").order_by("-media_type")
    rows = (
        with_standing(IssuedEstimate.objects.filter(job=job))
        .select_related("issued_by")
        .prefetch_related(Prefetch("files", files))
        .order_by("-revision")
    )
    found: list[Json] = []
    for row in rows:
        later = found[-1]["row"].revision if found else None
        stands = standing(row.valid_until, today, replaced_by=later, decided=decided_on(row))
        totals = {"firm": row.firm_total, "ceiling": row.ceiling_total, "options": row.options_total}
        money = {name: format_money(amount, row.currency) for name, amount in totals.items()}
        found.append({"row": row, "state": stands.reason, **money})
    return found


def _last_document(revisions: list[Json]) -> Json:
    document: Json = json.loads(revisions[0]["row"].document)
    return document


def _undated(document: Json) -> Json:
    return {key: value for key, value in document.items() if key not in DATED}
