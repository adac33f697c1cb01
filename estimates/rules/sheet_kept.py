"""The price sheet as it is kept in an issued document, and read from it again years later.

What is kept is what prices need and the customer may see: minutes, sell prices, discounts, taxes. Suppliers
stand there as s1, s2 and so on, and nothing of costs or markup. Read back, the sheet answers every choice
exactly as it did on the day of issue.

>>> from estimates.rules.sheet import SheetItem, SheetTask
>>> terms = Terms("EUR", Decimal("60.00"), Decimal("0.1"), (), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",)})
>>> belt = SheetItem("belt", "firm", (), ("belt",), ())
>>> task = SheetTask(30, frozenset(), ())
>>> sheet = Sheet(terms, {"belt": belt}, {"belt": task}, {}, {}, {}, None, {}, 0)
>>> again = sheet_from(sheet_content(sheet))
>>> again == sheet, again.price(["belt"]).with_tax
(True, Decimal('36.00'))
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from estimates.rules.byhand import DiscountIn
from estimates.rules.sheet import Sheet, SheetItem, SheetPiece, SheetStep, SheetTask, Wanted
from estimates.rules.terms import Terms
from shop.rules.tax import TaxRate

Json = dict[str, Any]


def sheet_content(sheet: Sheet) -> Json:
    """The sheet as plain JSON values: amounts in minor units are whole numbers, others decimal text."""
    codes = {code: f"s{number}" for number, code in enumerate(sorted(sheet.freight), 1)}
    return {
        "terms": _terms(sheet.terms),
        "items": [_item(item) for item in sheet.items.values()],
        "tasks": {
            key: {"minutes": task.minutes, "steps": sorted(task.steps), "needs": _wanted(task.needs)}
            for key, task in sheet.tasks.items()
        },
        "steps": {
            key: {"minutes": step.minutes, "needs": _wanted(step.needs)} for key, step in sheet.steps.items()
        },
        "pieces": {
            key: {
                "price": piece.price,
                "deposit": piece.deposit,
                "senders": sorted(codes[code] for code in piece.senders if code in codes),
            }
            for key, piece in sheet.pieces.items()
        },
        "discounts": [_discount(one) for one in sheet.discounts.values()],
        "document_discount": None if sheet.document is None else _discount(sheet.document),
        "freight": {codes[code]: amount for code, amount in sheet.freight.items()},
        "prepaid": sheet.prepaid,
    }


def sheet_from(kept: Mapping[str, Any]) -> Sheet:
    """The sheet that `sheet_content` wrote."""
    document = kept["document_discount"]
    return Sheet(
        terms=_terms_from(kept["terms"]),
        items={item["key"]: _item_from(item) for item in kept["items"]},
        tasks={
            key: SheetTask(task["minutes"], frozenset(task["steps"]), _wanted_from(task["needs"]))
            for key, task in kept["tasks"].items()
        },
        steps={
            key: SheetStep(step["minutes"], _wanted_from(step["needs"]))
            for key, step in kept["steps"].items()
        },
        pieces={
            key: SheetPiece(piece["price"], piece["deposit"], frozenset(piece["senders"]))
            for key, piece in kept["pieces"].items()
        },
        discounts={one["item"]: _discount_from(one) for one in kept["discounts"]},
        document=None if document is None else _discount_from(document),
        freight=dict(kept["freight"]),
        prepaid=kept["prepaid"],
    )


def _terms(terms: Terms) -> Json:
    return {
        "currency": terms.currency,
        "labour_rate": str(terms.labour_rate),
        "increment": str(terms.increment),
        "rates": [
            {"key": key, "name": rate.name, "percent": str(rate.percent), "category": rate.category}
            for key, rate in terms.rates.items()
        ],
        "taxes": {category: list(keys) for category, keys in terms.taxes.items()},
        "supplies_percent": str(terms.supplies_percent),
        "supplies_cap": None if terms.supplies_cap is None else str(terms.supplies_cap),
        "fees": [{"code": code, "name": name, "amount": str(amount)} for code, name, amount in terms.fees],
    }


def _terms_from(kept: Json) -> Terms:
    cap = kept["supplies_cap"]
    return Terms(
        currency=kept["currency"],
        labour_rate=Decimal(kept["labour_rate"]),
        increment=Decimal(kept["increment"]),
        bands=(),  # sell prices are kept, not how they came about
        markup_mode="stepped",
        rates={
            one["key"]: TaxRate(one["key"], one["name"], Decimal(one["percent"]), one["category"])
            for one in kept["rates"]
        },
        taxes={category: tuple(keys) for category, keys in kept["taxes"].items()},
        supplies_percent=Decimal(kept["supplies_percent"]),
        supplies_cap=None if cap is None else Decimal(cap),
        fees=tuple((fee["code"], fee["name"], Decimal(fee["amount"])) for fee in kept["fees"]),
    )


def _item(item: SheetItem) -> Json:
    return {
        "key": item.key,
        "group": item.group,
        "parents": list(item.parents),
        "tasks": list(item.tasks),
        "extras": _wanted(item.extras),
        "hand": None if item.hand is None else list(item.hand),
    }


def _item_from(kept: Json) -> SheetItem:
    hand = kept["hand"]
    return SheetItem(
        kept["key"],
        kept["group"],
        tuple(kept["parents"]),
        tuple(kept["tasks"]),
        _wanted_from(kept["extras"]),
        None if hand is None else (hand[0], hand[1]),
    )


def _wanted(wanted: Wanted) -> list[list[Any]]:
    return [[key, quantity] for key, quantity in wanted]


def _wanted_from(kept: list[list[Any]]) -> Wanted:
    return tuple((key, quantity) for key, quantity in kept)


def _discount(discount: DiscountIn) -> Json:
    return {
        "item": discount.item,
        "percent": None if discount.percent is None else str(discount.percent),
        "amount": None if discount.amount is None else str(discount.amount),
        "reason": discount.reason,
    }


def _discount_from(kept: Json) -> DiscountIn:
    percent, amount = (None if kept[name] is None else Decimal(kept[name]) for name in ("percent", "amount"))
    return DiscountIn(kept["item"], percent, amount, kept["reason"])
