"""What it costs, as rows to print: items with their lines, labour, and the three totals side by side."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

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
    texts = [*item["why"], item["description"], TAKEN_IN.get(item["origin"] or "", "")]
    return {
        "title": capital(item["title"]),
        "where": item["where"],
        "texts": [sentence(text) for text in texts if text],
        "done": item["done"],
        "contingent": group == "contingent",
        "lines": lines,
        "net": amount(item["net"]),
        "several": len(lines) != 1,
        "adds": "" if item["adds"] is None else money(item["adds"]),
        "adds_amount": "" if item["adds"] is None else amount(item["adds"]),
        **_now_or_later(item, money),
        "short": len(lines) <= KEPT_TOGETHER and sum(map(len, texts)) <= 1500,
    }


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
    if tuple(line["tax"]) != usual:
        details.append(f"Taxed with: {', '.join(line['tax'])}" if line["tax"] else "No tax on this line")
    return {
        "text": capital(line["text"]),
        "details": details,
        "quantity": minutes(line["minutes"]) if labour and line["minutes"] is not None else line["quantity"],
        "unit_price": "" if labour else amount(line["unit_price"]),
        "net": amount(line["net"]),
    }


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
    return [*rows, {**_total("Total with tax", [one["with_tax"] for one in columns]), "grand": True}]


def _total(label: str, texts: list[str | None]) -> dict[str, Any]:
    return {"label": label, "cells": [amount(text) if text else "–" for text in texts]}
