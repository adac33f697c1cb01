"""The sections of a job's page after the decision, put for their templates: buying, work, closing.

`typed` is what a form held that could not be taken: it stands in the fields again.
"""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from catalog.rules.interval import day_text
from estimates.bench import BESIDE
from estimates.builder import Built
from estimates.closing import bad_after, statement
from estimates.documents.closing_told import presented
from estimates.documents.purchase_list import purchase_content
from estimates.rules.bench import BenchRow
from estimates.views.after import AfterWork, Typed, after_work
from estimates.views.common import Desk

Json = dict[str, Any]


def after_sections(
    desk: Desk, built: Built | None, document: Json | None, typed: Typed | None = None
) -> Json:
    """Context of the three sections. `typed` is what a form held that could not be taken."""
    work = after_work(desk)
    given = typed or {}
    return {
        "closed": work.closing,
        "purchase": purchase_context(desk, built, work, given),
        "work": work_context(desk, work, given),
        "closing": closing_context(desk, built, document, work, given),
    }


def purchase_context(desk: Desk, built: Built | None, work: AfterWork, typed: Typed) -> Json:
    if work.agreed is None or work.wanted is None or built is None:
        return {"there": False}
    today = desk.now.date()
    document = purchase_content(desk.job, built.workshop, work.agreed, work.wanted, work.orders, today)
    for one, listed in zip(document["suppliers"], work.wanted.lists, strict=True):
        one["orderable"] = one["supplier"] is not None and any(line["to_order"] for line in one["lines"])
        for number, (line, row) in enumerate(zip(one["lines"], listed.lines, strict=True)):
            detail = work.wanted.details[listed.supplier, row.part]
            line["pk"] = detail.part.pk if detail.part else ""
            given = typed if typed.get("supplier") == one["supplier"] and "order" in typed else {}
            line["n"] = number
            line["typed"] = {
                "quantity": given.get(f"quantity-{number}", line["to_order"] or ""),
                "cost": given.get(f"cost-{number}", line["unit_cost"] or ""),
                "expected": given.get(f"expected-{number}", line["expected_on"] or ""),
            }
            line["where"] = f"{one['supplier']}-{number}"
    for one in document["orders"]:
        one["ordered_words"] = day_text(date.fromisoformat(one["ordered_on"]))
        for line in one["lines"]:
            line["came"] = typed.get(f"came-{line['line']}", "")
            line["wrong"] = typed.get(f"wrong-{line['line']}", "")
            line["expected_words"] = line["expected_on"] and day_text(date.fromisoformat(line["expected_on"]))
    lines = [line for one in document["orders"] for line in one["lines"]]
    return {
        "there": True,
        "document": document,
        "decided": work.agreed.decided,
        "newer": work.agreed.newer_undecided,
        "to_order": any(one["orderable"] for one in document["suppliers"]),
        "missing": [line for line in lines if line["missing"]],
    }


def work_context(desk: Desk, work: AfterWork, typed: Typed) -> Json:
    if work.agreed is None:
        return {"there": False}
    taken = {time.work: time for time in work.times}
    rows = [_row(row, taken, typed) for row in work.rows]
    return {
        "there": True,
        "teardown": [row for row in rows if row["teardown"]],
        "tasks": [row for row in rows if not row["teardown"] and row["item"] != BESIDE],
        "beside": [row for row in rows if row["item"] == BESIDE],
        "estimated": sum(row["estimated"] for row in rows),
        "taken": sum(time.minutes for time in work.times),
        "written": len(work.times),
        "of": len(rows),
        "kinds": sorted(
            [(card.name, card.code) for card in desk.book.operations.values()]
            + [(card.name, card.code) for card in desk.book.steps.values()]
        ),
        "places": [(place.label, place.code) for place in desk.book.family.positions],
        "typed": typed,
        "parts": _parts(work, typed),
    }


def _row(row: BenchRow, taken: dict[str, Any], typed: Typed) -> Json:
    time = taken.get(row.key)
    return {
        "key": row.key,
        "name": row.name,
        "where": row.where,
        "item": row.item,
        "teardown": row.teardown,
        "estimated": row.estimated,
        "minutes": typed.get(f"min-{row.key}", str(time.minutes) if time else ""),
        "note": typed.get(f"note-{row.key}", time.note if time else ""),
        "by": time.written_by if time else None,
    }


def _parts(work: AfterWork, typed: Typed) -> list[Json]:
    """What each item is to use of each part, what was used, and what was used beside."""
    used = {(one.item, one.part_id): one for one in work.parts}
    titles = {item["key"]: item["title"] for _, item in work.agreed.items()} if work.agreed else {}
    wanted = dict(work.wanted.pieces) if work.wanted else {}
    for one in work.parts:
        wanted.setdefault((one.item, one.part_id), (one.part, 0))
    found = []
    for (item, pk), (part, pieces) in wanted.items():
        row = used.get((item, pk))
        key = f"{item}|{pk}"
        found.append(
            {
                "key": key,
                "title": titles.get(item, "Beside the estimate"),
                "label": f"{part.brand.name} {part.number}",
                "name": part.part_type.name,
                "estimated": pieces,
                "used": typed.get(f"used-{key}", str(row.quantity) if row else ""),
                "note": typed.get(f"partnote-{key}", row.note if row else ""),
            }
        )
    return found


def closing_context(
    desk: Desk, built: Built | None, document: Json | None, work: AfterWork, typed: Typed
) -> Json:
    """The frozen statement of a closed job, or what it would say now."""
    if work.closing is not None:
        told = presented(json.loads(work.closing.document), sha256=work.closing.sha256)
        return {"there": True, "row": work.closing, "told": told}
    if built is None or document is None:
        return {"there": False}
    said = statement(
        desk.job,
        built,
        desk.now.date(),
        agreed=work.agreed,
        times=work.times,
        parts=work.parts,
        said=document,
    )
    told = presented(said)
    return {
        "there": work.agreed is not None,
        "told": told,
        "waits": work.agreed is not None and work.agreed.waits_on(desk.now.date()),
        "bad": bad_after(built),
        "may_have": [
            {"key": item["key"], "title": item["title"], "where": item["where"],
             "on": item["key"] in typed.get("arisen", "")}
            for group, item in work.agreed.items() if group == "contingent"
        ] if work.agreed is not None and work.agreed.decided else [],
        "deposits": [
            {**one, "typed": typed.get(f"back-{one['key']}", "0")} for one in told["deposits"]
        ],
        "note": typed.get("note", ""),
    }  # fmt: skip
