"""The closing statement in words: what page and PDF print. It decides no amount and leaves none out."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.template.loader import get_template

from estimates.documents.chart import band_words, has_picture
from estimates.documents.content import in_words
from estimates.documents.phrases import Money, amount, minutes
from estimates.documents.wording import DEMONSTRATION, _customer_lines, _shop_lines, unit_facts
from shop.pdf import known_paper, write_pdf

Json = dict[str, Any]


def before_and_after(readings: Sequence[Json]) -> list[Json]:
    """By test point, the same places before the repair and after; tests that were not repeated come last."""
    together: dict[str, Json] = {}
    for reading in readings:
        together.setdefault(reading["test_point"], {})[reading["phase"]] = reading
    found = []
    for phases in together.values():
        before, after = phases.get("before"), phases.get("after")
        either: Json = after or before or {}
        rows = {row["position"]: row["where"] for one in (before, after) if one for row in one["rows"]}
        at = {
            phase: {row["position"]: row for row in one["rows"]} if one else {}
            for phase, one in (("before", before), ("after", after))
        }
        found.append(
            {
                "name": either["name"],
                "band": band_words(either),
                "before": before,
                "after": after,
                "pictures": [
                    (words, one)
                    for words, one in (("before the repair", before), ("after the repair", after))
                    if one is not None and has_picture(one)
                ],
                "rows": [
                    {"where": where, "before": at["before"].get(code), "after": at["after"].get(code)}
                    for code, where in rows.items()
                ],
            }
        )
    return sorted(found, key=lambda one: one["after"] is None)


def presented(document: Json, *, sha256: str = "", paper: str = "A4") -> Json:
    """What page and PDF print of it."""
    money = Money(document["currency"])
    shop = document["shop"]
    return {
        "document": document,
        "paper": paper,
        "sha256": sha256,
        "notices": [DEMONSTRATION] if document["demonstration"] else [],
        "closed_on": in_words(document["closed_on"]),
        "decided_on": in_words(document["estimate"]["decided_on"])
        if document["estimate"] and document["estimate"]["decided_on"]
        else "",
        "shop_lines": _shop_lines(document["workshop"]),
        "customer_lines": _customer_lines(document["customer"]),
        "unit_facts": unit_facts(document["unit"]),
        "items": [{**item, "price": amount(item["price"])} for item in document["items"]],
        "together": _unless_zero(document["price"]["together"]),
        "without_tax": amount(document["price"]["without_tax"]),
        "taxes": _taxes(document["price"]),
        "with_tax": amount(document["price"]["with_tax"]),
        "returned": _unless_zero(document["returned"]["with_tax"]),
        "payments": [
            {"words": f"{one['how']}, {in_words(one['received_on'])}", "amount": amount(one["amount"])}
            for one in document["payments"]
        ],
        "prepaid": _unless_zero(document["prepaid"]),
        "due": money(document["due"]),
        "deposits": [{**one, "each": money(one["each"])} for one in document["deposits"]],
        "tests": before_and_after(document["readings"]),
        "after_any": any(one["phase"] == "after" for one in document["readings"]),
        "operations": [
            {
                **one,
                "difference": "" if one["difference"] is None else _signed(one["difference"]),
                "money": "" if one["money"] is None else _with_sign(one["money"]),
            }
            for one in shop["operations"]
        ],
        "shop_items": [
            {**one, "difference": "" if one["difference"] is None else _signed(one["difference"])}
            for one in shop["items"]
        ],
        "sum": {
            "estimated": minutes(shop["estimated"]),
            "actual": "" if shop["actual"] is None else minutes(shop["actual"]),
            "difference": "" if shop["difference"] is None else _signed(shop["difference"]),
            "money": "" if shop["money"] is None else _with_sign(shop["money"]),
        },
    }


def _taxes(price: Json) -> list[Json]:
    """By rate; an estimate of an old form states them in sum alone."""
    return [
        {
            "label": one["name"] if one["percent"] in one["name"] else f"{one['name']} {one['percent']} %",
            "amount": amount(one["amount"]),
        }
        for one in price["tax"]
    ] or [{"label": "Tax", "amount": amount(price["tax_sum"])}]


def _unless_zero(text: str) -> str:
    return amount(text) if Decimal(text) else ""


def _with_sign(text: str) -> str:
    return f"{Decimal(text):+,f}".replace("-", "−")


def _signed(value: int) -> str:
    return f"{value:+d}".replace("-", "−")


def closing_html(document: Json, *, sha256: str = "", paper: str = "A4") -> str:
    """The customer's copy: price, parts, readings; nothing of the shop's own."""
    context = presented(document, sha256=sha256, paper=known_paper(paper))
    return get_template("documents/closing.html").render(context)


def closing_pdf(document: Json, *, sha256: str = "", paper: str = "A4") -> bytes:
    """The PDF of that. Raises shop.pdf.PdfUnavailable where Pango is missing."""
    return write_pdf(closing_html(document, sha256=sha256, paper=paper), "closing")
