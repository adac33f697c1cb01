"""How a document's values are put for a reader: thousands set off, dates and minutes in words.

Takes the plain document (see estimates.documents.content) and returns what the template prints; it decides
no amount and leaves none out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from estimates.documents.chart import band_words, has_picture
from estimates.documents.content import in_words

Json = Mapping[str, Any]
NBSP = "\u00a0"
DEMONSTRATION = "Demonstration data, not for real work"
DRAFT = "Draft: not issued, not an offer"
STANDING = {
    "confirmed": "confirmed",
    "suspected": "suspected, not yet certain",
    "advisory": "can wait, worth knowing",
}
GRADE = {"original": "original part", "equivalent": "equivalent part"}
TAKEN_IN = {
    "contingent": "Was “only if found on opening”; now part of the firm work.",
    "optional": "Was “if you wish”; now part of the firm work.",
}
KEPT_TOGETHER = 6
"""Lines up to which an item is moved to the next page rather than torn."""
ROAD_USE = {"yes": "yes", "no": "no"}


def amount(text: str) -> str:
    """A JSON amount for people, with all its decimals: "1234.50" as "1,234.50"."""
    return f"{Decimal(text):,f}"


def minutes(count: int) -> str:
    return f"{count}{NBSP}min"


def presented(document: Json, *, sha256: str = "", paper: str = "A4", draft: bool = False) -> dict[str, Any]:
    """What the template of the estimate prints, in the order it prints it."""
    money = _Money(document["currency"])
    usual = _usual_tax(document)
    groups = {
        name: [_item(item, money, usual, name) for item in items]
        for name, items in document["groups"].items()
    }
    return {
        "document": document,
        "number": document["number"],
        "revision": document["revision"],
        "issued_on": in_words(document["issued_on"]),
        "valid_until": in_words(document["valid_until"]),
        "notices": [
            *([DEMONSTRATION] if document["demonstration"] else []),
            *([DRAFT] if draft else []),
        ],
        "draft": draft,
        "paper": paper,
        "sha256": sha256,
        "shop_lines": _shop_lines(document["workshop"]),
        "customer_lines": _customer_lines(document["customer"]),
        "unit_facts": unit_facts(document["unit"]),
        "findings": _findings(document["findings"]),
        "pictured": [_test(reading) for reading in document["readings"] if has_picture(reading)],
        "single": _single(document["readings"]),
        "groups": groups,
        "labour": _labour(document["labour"], money),
        "charges": [
            {"reason": one["reason"], "amount": amount(one["amount"])} for one in document["charges"]
        ],
        "totals": totals_rows(document["totals"]),
        "firm_total": money(document["totals"]["firm"]["with_tax"]),
        "ceiling_total": money(document["totals"]["ceiling"]["with_tax"]),
        "options_total": money(document["totals"]["options"]["with_tax"]),
        "currency": document["currency"],
        "decisions": [*groups["contingent"], *groups["optional"]],
    }


class _Money:
    """Amounts with their currency, kept on one line."""

    def __init__(self, currency: str) -> None:
        self.currency = currency

    def __call__(self, text: str) -> str:
        return f"{amount(text)}{NBSP}{self.currency}"


# Who and what


def _shop_lines(shop: Json) -> list[str]:
    lines = [*shop["address"].splitlines(), shop["phone"], shop["email"]]
    if shop["tax_number"]:
        lines.append(f"Tax number {shop['tax_number']}")
    return [line for line in lines if line.strip()]


def _customer_lines(customer: Json) -> list[str]:
    lines = [*customer["address"].splitlines(), customer["phone"], customer["email"]]
    if customer["number"]:
        lines.append(f"Customer number {customer['number']}")
    return [line for line in lines if line.strip()]


def unit_facts(unit: Json) -> list[tuple[str, str]]:
    """What is known of the machine, as (term, value); what matters and is missing says so."""
    facts = [("Name", unit["name"]), ("Engine", unit["family_name"])]
    facts += [
        (term, unit[key]) for term, key in (("Registration", "registration"), ("VIN", "vin")) if unit[key]
    ]
    facts += [
        ("Engine serial", unit["serial"] or "not known"),
        ("Built", unit["built"]),
        ("In road use", ROAD_USE.get(unit["road_use"], "not known")),
    ]
    options = [(capital(option["name"].removeprefix("the ")), option["value"]) for option in unit["options"]]
    return [*facts, *((name, value or "not known") for name, value in options)]


# Findings and readings


def _findings(findings: list[Json]) -> list[dict[str, Any]]:
    """The surest first."""
    order = list(STANDING)
    return [
        {
            **finding,
            "standing_words": STANDING[finding["standing"]],
            "reasons": [sentence(reason) for reason in finding["reasons"]],
        }
        for finding in sorted(findings, key=lambda one: order.index(one["standing"]))
    ]


def _test(reading: Json) -> dict[str, Any]:
    return {
        "reading": reading,
        "name": reading["name"],
        "after": reading["phase"] == "after",
        "band": band_words(reading),
        "path": ", then ".join(reading["path"]),
        "rows": [_row(reading, row) for row in reading["rows"]],
    }


def _row(reading: Json, row: Json) -> dict[str, Any]:
    compared = ""
    if row["corrected"] is not None:
        margin = f" ± {row['uncertainty']}" if row["uncertainty"] and Decimal(row["uncertainty"]) else ""
        compared = f"{row['corrected']}{margin}{NBSP}{reading['symbol']}".rstrip()
    return {
        "where": row["where"],
        "shown": row["shown"],
        "compared": compared,
        "outcome": row["outcome"],
        "reason": "" if row["outcome"] == "good" else capital(row["reason"]),
    }


def _single(readings: list[Json]) -> list[dict[str, Any]]:
    """Readings that make no picture, one row each."""
    return [
        {"name": reading["name"], "after": reading["phase"] == "after", "band": band_words(reading), **shown}
        for reading in readings
        if not has_picture(reading)
        for shown in (_row(reading, row) for row in reading["rows"])
    ]


# Items and totals


def _usual_tax(document: Json) -> tuple[str, ...]:
    """The taxes most lines carry; only a line that differs says what it carries."""
    counted = Counter(
        tuple(line["tax"])
        for items in document["groups"].values()
        for item in items
        for line in item["lines"]
    )
    return counted.most_common(1)[0][0] if counted else ()


def _item(item: Json, money: _Money, usual: tuple[str, ...], group: str) -> dict[str, Any]:
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
        "short": len(lines) <= KEPT_TOGETHER and sum(map(len, texts)) <= 1500,
    }


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


def sentence(text: str) -> str:
    """With a capital at its start and a full stop at its end."""
    text = capital(text.strip())
    return text if not text or text[-1] in ".!?" else f"{text}."


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _labour(labour: Json, money: _Money) -> dict[str, Any]:
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
