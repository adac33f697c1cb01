"""What the estimate prints, in words: the plain document turned into what its template shows.

It decides no amount and leaves none out (see estimates.documents.content for where they come from).
"""

from __future__ import annotations

from typing import Any

from estimates.documents.changes import changes_told
from estimates.documents.chart import has_picture
from estimates.documents.content import in_words
from estimates.documents.phrases import Json, Money, capital
from estimates.documents.priced import (
    TAKEN_IN,
    adjustments_told,
    item_priced,
    labour_told,
    totals_rows,
    usual_tax,
)
from estimates.documents.told import STANDING, findings_told, reading_told, single_readings

__all__ = ["DEMONSTRATION", "DRAFT", "STANDING", "TAKEN_IN", "presented", "totals_rows", "unit_facts"]

DEMONSTRATION = "Demonstration data, not for real work"
DRAFT = "Draft: not issued, not an offer"
ROAD_USE = {"yes": "yes", "no": "no"}


def presented(document: Json, *, sha256: str = "", paper: str = "A4", draft: bool = False) -> dict[str, Any]:
    """What the template of the estimate prints, in the order it prints it."""
    money = Money(document["currency"])
    usual = usual_tax(document)
    groups = {
        name: [item_priced(item, money, usual, name) for item in items]
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
        "findings": findings_told(document["findings"]),
        "pictured": [reading_told(reading) for reading in document["readings"] if has_picture(reading)],
        "single": single_readings(document["readings"]),
        "groups": groups,
        "labour": labour_told(document["labour"], money),
        **adjustments_told(document, money),
        "totals": totals_rows(document["totals"]),
        "firm_total": money(document["totals"]["firm"]["with_tax"]),
        "ceiling_total": money(document["totals"]["ceiling"]["with_tax"]),
        "options_total": money(document["totals"]["options"]["with_tax"]),
        "currency": document["currency"],
        "changes": changes_told(document.get("changes")),
        "decisions": [*groups["contingent"], *groups["optional"]],
    }


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
