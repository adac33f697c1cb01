"""Documents to print: the shape of estimates.documents.content, written by hand, totals from the rules.

Everything in them is invented. `estimate` makes one of any size and currency; what a test is about is handed
in, the rest is ordinary.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from shop.rules.currency import round_money
from shop.rules.tax import TaxRate
from shop.rules.totals import Adjustment, NetLine, Totals, document_totals, line_net

Json = dict[str, Any]
VAT = TaxRate("vat", "VAT", Decimal(20), "S")
SHA = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"


def labour(net: str, minutes: int) -> Json:
    return {"kind": "labour", "text": "Labour", "quantity": "1", "unit_price": net, "minutes": minutes}


def part(text: str, quantity: int, price: str, number: str = "FX 100 200", **more: Any) -> Json:
    known = {"brand": "Fennmark", "number": number, "grade": "equivalent"}
    return {
        "kind": "part",
        "text": text,
        "quantity": str(quantity),
        "unit_price": price,
        "part": known,
    } | more


def item(key: str, title: str, lines: Sequence[Json], **more: Any) -> Json:
    return {"key": key, "title": title, "lines": list(lines), **more}


def readings() -> list[Json]:
    values = ["0.84", "0.85", None, "0.83", "0.86", "1.31", "1.09", "0.85"]
    outcomes = ["good", "good", "bad", "good", "good", "bad", "unclear", "good"]
    return [
        {
            "test_point": "heater-resistance",
            "name": "Heater resistance at the connector",
            "phase": "before",
            "kind": "number",
            "unit": "Ohm",
            "symbol": "Ω",
            "minimum": "0.70",
            "maximum": "1.10",
            "expected": "0.70 to 1.10 Ω",
            "path": ["heater lead", "heater"],
            "rows": [
                {
                    "position": str(number),
                    "where": f"cylinder {number}",
                    "kind": "open" if value is None else "number",
                    "shown": "open circuit" if value is None else f"{Decimal(value) + Decimal('0.12')} Ω",
                    "corrected": value,
                    "uncertainty": None if value is None else "0.028",
                    "outcome": outcome,
                    "reason": f"reason for cylinder {number}",
                }
                for number, (value, outcome) in enumerate(zip(values, outcomes, strict=True), 1)
            ],
        },
        {
            "test_point": "relay-lamp",
            "name": "Test lamp at the relay output",
            "phase": "before",
            "kind": "lamp",
            "unit": "",
            "symbol": "",
            "minimum": None,
            "maximum": None,
            "expected": "lamp on",
            "path": ["relay contact"],
            "rows": [
                {
                    "position": "engine",
                    "where": "the engine",
                    "kind": "on",
                    "shown": "lamp on",
                    "corrected": None,
                    "uncertainty": None,
                    "outcome": "good",
                    "reason": "lamp on, expected on",
                }
            ],
        },
    ]


FIRM = (
    item("tests", "Tests carried out", [labour("64.00", 40)], done=True, why=["9 readings taken"]),
    item(
        "heater-replace",
        "replace heater",
        [
            labour("128.00", 80),
            part("heater, cylinders 3 and 6", 2, "23.90", "FX 871-04"),
            part(
                "rocker-cover gasket, bank A",
                1,
                "48.20",
                part=None,
                to_confirm="the engine serial number",
                note="To be confirmed: which part fits needs the engine serial number. FX 61 or FX 62, "
                "between 31.70 and 48.20 each, priced here at the dearest.",
            ),
        ],
        where="cylinders 3 and 6",
        why=["heater, cylinder 3: the only component left in the path"],
    ),
)
CONTINGENT = (
    item(
        "extract@3",
        "Extract a broken heater",
        [labour("112.00", 70), part("reamer", 1, "39.50")],
        where="cylinder 3",
        why=["only if the heater is seized and breaks while it is unscrewed"],
    ),
)
OPTIONAL = (
    item("belt", "Replace drive belt", [labour("32.00", 20), part("drive belt", 1, "26.45")], why=["frayed"]),
)


def estimate(
    *,
    currency: str = "EUR",
    firm: Sequence[Json] = FIRM,
    contingent: Sequence[Json] = CONTINGENT,
    optional: Sequence[Json] = OPTIONAL,
    **more: Any,
) -> Json:
    """A whole document. Amounts given with other decimals than the currency's are rounded to them first."""
    groups = {
        name: [_item(one, currency, firm=name == "firm") for one in items]
        for name, items in (("firm", firm), ("contingent", contingent), ("optional", optional))
    }
    charges = [
        Adjustment(
            "supplies", "Shop supplies, 3 % of labour", round_money(Decimal("5.76"), currency), ("vat",)
        )
    ]
    upto = {
        "firm": groups["firm"],
        "ceiling": groups["firm"] + groups["contingent"],
        "options": groups["firm"] + groups["contingent"] + groups["optional"],
    }
    document = {
        "format": "tallybore-estimate/2",
        "number": "E-2041",
        "revision": 1,
        "issued_on": "2026-03-02",
        "valid_until": "2026-04-01",
        "currency": currency,
        "demonstration": False,
        "prices_include_tax": False,
        "workshop": {
            "name": "Sallowfield Engine Works",
            "address": "3 Weir Lane\nSallowfield",
            "phone": "555 0110",
            "email": "desk@sallowfield.example",
            "tax_number": "SF 20 31",
            "terms": "Old parts are kept for you until the machine is collected.",
        },
        "customer": {
            "name": "Ottilie Brandreth",
            "number": "C88",
            "address": "Ferry House\nLower Quay",
            "email": "",
            "phone": "555 0177",
        },
        "job": {
            "number": "J2041",
            "opened_on": "2026-03-02",
            "complaint": "Hard to start when cold, white smoke.",
        },
        "unit": {
            "name": "Workboat, port engine",
            "family": "mere-8",
            "family_name": "Holmwater Mere 8",
            "registration": "SW 12",
            "vin": "",
            "serial": "",
            "built": "in 2013",
            "road_use": "no",
            "options": [{"name": "the heater connector", "value": "9-way"}],
        },
        "readings": readings(),
        "findings": [
            {
                "component": "heater",
                "name": "heater",
                "position": "3",
                "where": "cylinder 3",
                "standing": "confirmed",
                "computed": "confirmed",
                "by_person": False,
                "quantity": 1,
                "reasons": ["the only component left in the path of heater resistance, cylinder 3"],
            }
        ],
        "contradictions": [],
        "groups": groups,
        "job_factors": [],
        "labour": {
            "minutes": 120,
            "hours": "2.00",
            "increment": "0.1",
            "rate": str(round_money(Decimal("96.00"), currency)),
            "amount": str(round_money(Decimal("192.00"), currency)),
            "minutes_item_by_item": 155,
        },
        "allowances": [],
        "charges": [
            {"key": c.key, "reason": c.reason, "amount": str(c.amount), "with_tax": None, "tax": ["VAT"]}
            for c in charges
        ],
        "totals": {name: _totals(items, charges, currency) for name, items in upto.items()},
        "payments": [],
        "to_confirm": ["the engine serial number"],
        "not_offered": [],
        "open_points": [],
        "cautions": ["Hot parts burn long after stopping.", "Local rules and the maker's manual come first."],
    }
    return {**document, **more}


def _item(given: Json, currency: str, *, firm: bool) -> Json:
    lines = [_line(line, given["key"], number, currency) for number, line in enumerate(given["lines"])]
    net = sum((Decimal(line["net"]) for line in lines), Decimal(0))
    taxed = round_money(net * (100 + VAT.percent) / 100, currency)
    return {
        "where": "",
        "why": [],
        "description": "",
        "origin": None,
        "done": False,
        "by_hand": False,
        "minutes": sum(line["minutes"] or 0 for line in lines),
        "gross": str(net),
        "discount": None,
        "net": str(net),
        "with_tax": None,
        "later": None,
        "later_minutes": None,
        "adds": None if firm else str(taxed),
        **given,
        "lines": lines,
    }


def _line(given: Json, key: str, number: int, currency: str) -> Json:
    price = round_money(Decimal(given["unit_price"]), currency)
    net = line_net(Decimal(given["quantity"]), price, currency=currency)
    defaults = {
        "category": "labour" if given["kind"] == "labour" else "parts",
        "part": None,
        "unit_with_tax": None,
        "allowance": str(round_money(Decimal(0), currency)),
        "with_tax": None,
        "minutes": None,
        "to_confirm": "",
        "note": "",
        "tax": ["VAT"],
    }
    return {"key": f"{key}/{number}", **defaults, **given, "unit_price": str(price), "net": str(net)}


def _totals(items: Sequence[Json], charges: Sequence[Adjustment], currency: str) -> Json:
    lines = [
        NetLine(line["key"], Decimal(line["net"]), ("vat",) if line["tax"] else ())
        for one in items
        for line in one["lines"]
    ]
    totals: Totals = document_totals(lines, charges=charges, rates={"vat": VAT}, currency=currency)
    return {
        "lines": str(totals.line_sum),
        "allowances": str(totals.allowance_sum),
        "charges": str(totals.charge_sum),
        "without_tax": str(totals.without_tax),
        "tax": [
            {
                "name": one.rate.name,
                "percent": f"{one.rate.percent.normalize():f}",
                "taxable": str(one.taxable),
                "amount": str(one.amount),
            }
            for one in totals.tax
        ],
        "tax_sum": str(totals.tax_sum),
        "with_tax": str(totals.with_tax),
        "prepaid": str(totals.prepaid),
        "due": str(totals.due),
    }


def amounts(value: Any, found: list[str] | None = None) -> list[str]:
    """Every amount of money anywhere in a document, as it stands there."""
    found = [] if found is None else found
    if isinstance(value, dict):
        for key, inner in value.items():
            if key in MONEY and isinstance(inner, str):
                if key not in UNSAID or Decimal(inner):
                    found.append(inner)
            else:
                amounts(inner, found)
    elif isinstance(value, list):
        for inner in value:
            amounts(inner, found)
    return found


MONEY = {
    "unit_price", "net", "adds", "amount", "rate", "taxable", "tax_sum", "without_tax", "with_tax", "lines",
    "charges", "gross", "allowance", "allowances", "base", "prepaid", "due",
}  # fmt: skip
UNSAID = {"allowance", "allowances", "prepaid"}
"""What is not printed where it is nothing."""
