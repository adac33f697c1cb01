"""What it costs, as rows to print: items with their lines, labour, and the three totals side by side."""

from __future__ import annotations

from collections import Counter
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.rules.interval import day_text
from estimates.documents.phrases import NBSP, Json, Money, amount, capital, minutes, sentence

GRADE = {"original": "original part", "equivalent": "equivalent part"}
TAKEN_IN = {
    "contingent": "Was “only if found on opening”; now part of the firm work.",
    "optional": "Was “if you wish”; now part of the firm work.",
}
KEPT_TOGETHER = 6
"""Lines up to which an item is moved to the next page rather than torn."""


def usual_tax(document: Json) -> tuple[str, ...]:
    """The taxes most lines carry; only a line that differs says what it carries."""
    counted = Counter(
        tuple(line["tax"])
        for items in document["groups"].values()
        for item in items
        for line in item["lines"]
    )
    return counted.most_common(1)[0][0] if counted else ()


def item_priced(item: Json, money: Money, usual: tuple[str, ...], group: str) -> dict[str, Any]:
    lines = [_line(line, usual) for line in item["lines"]]
    texts = [
        *item["why"],
        item["description"],
        TAKEN_IN.get(item["origin"] or "", ""),
        _discount(item, money),
    ]
    return {
        "title": capital(item["title"]),
        "where": item["where"],
        "texts": [sentence(text) for text in texts if text],
        "done": item["done"],
        "contingent": group == "contingent",
        "lines": lines,
        "net": amount(charged(item, "net")),
        "several": len(lines) != 1,
        "adds": "" if item["adds"] is None else money(item["adds"]),
        "adds_amount": "" if item["adds"] is None else amount(item["adds"]),
        **_now_or_later(item, money),
        "short": len(lines) <= KEPT_TOGETHER and sum(map(len, texts)) <= 1500,
    }


def charged(entry: Json, without_tax: str) -> str:
    """What is printed of an item, line, charge or allowance: with tax where the document has it so."""
    taxed = entry.get("with_tax")
    return str(entry[without_tax]) if taxed is None else str(taxed)


def _discount(item: Json, money: Money) -> str:
    """What came off the item, and why; an old document knows no discounts."""
    discount = item.get("discount")
    if discount is None:
        return ""
    percent = "" if discount["percent"] is None else f"{discount['percent']}{NBSP}% or "
    before = "" if item["with_tax"] is None else " before tax"
    return f"Discount of {percent}{money(discount['amount'])}{before}: {discount['reason']}"


def _now_or_later(item: Json, money: Money) -> dict[str, str]:
    """What it comes to on a visit of its own, and what doing it now saves; an old document says neither."""
    later = item.get("later")
    if later is None:
        return {"later": "", "later_amount": "", "saves": ""}
    saving = Decimal(later) - Decimal(item["adds"])
    saves = money(str(saving)) if saving > 0 else ""
    return {"later": money(later), "later_amount": amount(later), "saves": saves}


def _line(line: Json, usual: tuple[str, ...]) -> dict[str, Any]:
    labour = line["kind"] == "labour"
    part, details = line["part"], []
    if part:
        grade = GRADE.get(part["grade"], part["grade"])
        details.append(f"{part['brand']} {part['number']}" + (f", {grade}" if grade else ""))
    if line["note"]:
        details.append(line["note"])
    elif line["to_confirm"]:
        details.append(f"To be confirmed: needs {line['to_confirm']}.")
    if Decimal(line.get("allowance") or 0):
        before = "" if line["with_tax"] is None else " before tax"
        details.append(f"Less {amount(line['allowance'])}{before} of the discount")
    if tuple(line["tax"]) != usual:
        details.append(f"Taxed with: {', '.join(line['tax'])}" if line["tax"] else "No tax on this line")
    return {
        "text": capital(line["text"]),
        "details": details,
        "quantity": minutes(line["minutes"]) if labour and line["minutes"] is not None else line["quantity"],
        "unit_price": "" if labour else amount(line.get("unit_with_tax") or line["unit_price"]),
        "net": amount(charged(line, "net")),
    }


def adjustments_told(document: Json, money: Money) -> dict[str, Any]:
    """Charges, discounts on the whole, and what was paid in advance; an old document knows charges only."""
    return {
        "charges": [
            {"reason": one["reason"], "amount": amount(charged(one, "amount"))} for one in document["charges"]
        ],
        "allowances": [
            {"reason": _allowance(one), "amount": amount(charged(one, "amount"))}
            for one in document.get("allowances", ())
        ],
        "payments": [
            {
                "text": f"{'Received' if Decimal(one['amount']) > 0 else 'Given back'} on "
                f"{day_text(date.fromisoformat(one['received_on']))}, {one['how']}",
                "amount": amount(one["amount"]),
            }
            for one in document.get("payments", ())
        ],
        "with_tax": bool(document.get("prices_include_tax")),
        "due": money(document["totals"]["firm"].get("due", document["totals"]["firm"]["with_tax"])),
    }


def _allowance(one: Json) -> str:
    taxes = f" on what carries {' and '.join(one['tax'])}" if one["tax"] else " on what carries no tax"
    of = (
        f"{one['percent']}{NBSP}% of {amount(one['base'])}" if one["percent"] else f"of {amount(one['base'])}"
    )
    return f"{capital(one['reason'])}: {of}{taxes}"


def labour_told(labour: Json, money: Money) -> dict[str, Any]:
    saved = labour["minutes_item_by_item"] - labour["minutes"]
    return {
        "minutes": minutes(labour["minutes"]),
        "hours": f"{Decimal(labour['hours']).normalize():f}",
        "increment": labour["increment"],
        "rate": money(labour["rate"]),
        "amount": money(labour["amount"]),
        "apart": minutes(labour["minutes_item_by_item"]),
        "saved": minutes(saved) if saved > 0 else "",
    }


def totals_rows(totals: Json) -> list[dict[str, Any]]:
    """The three totals side by side, one row per step from the lines to the sum with tax.

    A tax that one of the three does not have stands there as a dash.
    """
    columns = [totals["firm"], totals["ceiling"], totals["options"]]
    rows = [
        _total("Lines", [one["lines"] for one in columns]),
        *_where_any("Discount", [one.get("allowances") for one in columns]),
        _total("Charges", [one["charges"] for one in columns]),
        _total("Total without tax", [one["without_tax"] for one in columns]),
    ]
    named = dict.fromkeys((part["name"], part["percent"]) for one in columns for part in one["tax"])
    for name, percent in named:
        parts = [
            next((p for p in one["tax"] if (p["name"], p["percent"]) == (name, percent)), None)
            for one in columns
        ]
        called = name if percent in name else f"{name} {percent}{NBSP}%"
        rows.append(_total(f"{called} is taken on", [p and p["taxable"] for p in parts]))
        rows.append(_total(called, [p and p["amount"] for p in parts]))
    if len(named) > 1:
        rows.append(_total("All taxes", [one["tax_sum"] for one in columns]))
    rows.append({**_total("Total with tax", [one["with_tax"] for one in columns]), "grand": True})
    paid = _where_any("Paid in advance", [one.get("prepaid") for one in columns])
    if paid:
        rows += [*paid, {**_total("Due", [one["due"] for one in columns]), "grand": True}]
    return rows


def _where_any(label: str, texts: list[str | None]) -> list[dict[str, Any]]:
    """A row to take off, left out where there is nothing in it."""
    return [_total(f"Less: {label.lower()}", texts)] if any(Decimal(text or 0) for text in texts) else []


def _total(label: str, texts: list[str | None]) -> dict[str, Any]:
    return {"label": label, "cells": [amount(text) if text else "–" for text in texts]}
