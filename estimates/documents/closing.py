"""What the closing statement says, as plain JSON values: the one source of its page, its PDF and its frozen
form.

The customer's copy is the price that was accepted, the parts, the readings before and after, what was left
for later, deposits, and what is due. "shop" holds the minutes beside the estimate and is the shop's own
knowledge: the PDF leaves it out. Amounts are text with all their decimals, as in the estimate; costs,
suppliers and likelihoods are not in here at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from estimates.agreed import Agreed
from estimates.documents.content import ALWAYS
from estimates.documents.phrases import capital
from estimates.models import ActualPart, LaterItem, Payment
from estimates.rules.choosing import Choice
from estimates.rules.variance import Beside, Variance
from shop.rules.currency import round_money

Json = dict[str, Any]
FORMAT = "tallybore-closing/1"
ZERO = Decimal(0)
NOT_ARISEN, NOT_AGREED = "not found to be needed", "not agreed to"


@dataclass(frozen=True)
class Closed:
    """Everything a statement is made from. `said` is the content of the draft, for who, what and readings;
    `returned` the pieces brought back by the key of the deposit's line."""

    said: Json
    closed_on: date
    agreed: Agreed | None
    choice: Choice | None
    arisen: frozenset[str]
    told: Variance
    used: Sequence[ActualPart]
    left: Sequence[LaterItem]
    payments: Sequence[Payment]
    returned: Mapping[str, int] = field(default_factory=dict)
    note: str = ""


def closing_content(closed: Closed) -> Json:
    """The whole statement."""
    said, agreed = closed.said, closed.agreed
    currency = agreed.currency if agreed else said["currency"]
    deposits = deposits_of(agreed, closed.arisen, closed.returned)
    price = _price(closed, currency)
    back = _credit(deposits, agreed, currency)
    prepaid = round_money(sum((one.amount for one in closed.payments), ZERO), currency)
    total = Decimal(price["with_tax"]) - Decimal(back["with_tax"])
    return {
        "format": FORMAT,
        "closed_on": closed.closed_on.isoformat(),
        "currency": currency,
        **{key: said[key] for key in ("demonstration", "workshop", "customer", "job", "unit")},
        "estimate": _estimate(agreed),
        "items": [_item(item, closed) for item in _billed(closed)],
        "beside": [_used(one) for one in closed.used if not one.item],
        "not_done": _not_done(closed),
        "price": price,
        "deposits": deposits,
        "returned": back,
        "total": str(total),
        "payments": [
            {
                "received_on": one.received_on.isoformat(),
                "how": one.how,
                "amount": _money(one.amount, currency),
            }
            for one in closed.payments
        ],
        "prepaid": str(prepaid),
        "due": str(total - prepaid),
        "readings": said["readings"],
        "later": [_later(one) for one in closed.left],
        "note": closed.note,
        "cautions": [ALWAYS],
        "shop": _shop(closed),
    }


def _money(value: Decimal, currency: str) -> str:
    return str(round_money(value, currency))


def _estimate(agreed: Agreed | None) -> Json | None:
    if agreed is None:
        return None
    decision = agreed.decision
    return {
        "number": agreed.estimate.number,
        "revision": agreed.estimate.revision,
        "sha256": agreed.estimate.sha256,
        "decided_on": decision.decided_at.date().isoformat() if decision else None,
        "decided_by": decision.name if decision else None,
    }


# What is billed


def _billed(closed: Closed) -> list[Json]:
    """Items of the estimate that were done: accepted, and "only if found" where it was."""
    agreed = closed.agreed
    if agreed is None or closed.choice is None:
        return []
    kept = set(closed.choice.accepted)
    return [
        item for _, item in agreed.items() if item["key"] in kept or item["done"] or item["key"] == "access"
    ]


def _item(item: Json, closed: Closed) -> Json:
    used = {(one.part.brand.name, one.part.number): one for one in closed.used if one.item == item["key"]}
    parts: dict[tuple[str, str], Json] = {}
    for line in item["lines"]:
        if line["kind"] in ("labour", "deposit"):
            continue
        named = line["part"] or {"brand": "", "number": ""}
        key = (named["brand"], named["number"])
        row = parts.setdefault(key, {"text": line["text"], **_named(key), "estimated": 0, **_actual(None)})
        row["estimated"] += int(Decimal(line["quantity"]))
        row |= _actual(used.pop(key, None)) if row["used"] is None else {}
    more = [_used(one) for one in used.values()]
    return {
        "key": item["key"],
        "title": item["title"],
        "where": item["where"],
        "done_before": item["done"],
        "price": item["net"],
        "parts": [*parts.values(), *more],
    }


def _named(key: tuple[str, str]) -> Json:
    return {"brand": key[0], "number": key[1]}


def _actual(one: ActualPart | None) -> Json:
    """`used` is null where nobody wrote it down."""
    return {"used": one.quantity if one else None, "note": one.note if one else ""}


def _used(one: ActualPart) -> Json:
    key = (one.part.brand.name, one.part.number)
    return {"text": one.part.part_type.name, **_named(key), "estimated": 0, **_actual(one)}


def _not_done(closed: Closed) -> list[Json]:
    agreed = closed.agreed
    if agreed is None:
        return []
    done = {item["key"] for item in _billed(closed)}
    return [
        {
            "title": item["title"],
            "where": item["where"],
            "why": NOT_ARISEN if item["key"] in agreed.keys else NOT_AGREED,
        }
        for group in agreed.document["groups"].values()
        for item in group
        if item["key"] not in done
    ]


def _price(closed: Closed, currency: str) -> Json:
    """The accepted price. `together` is what the items do not show: charges, discounts, work counted once."""
    items = sum((Decimal(item["net"]) for item in _billed(closed)), ZERO)
    choice = closed.choice
    without = choice.agreed_without_tax if choice else ZERO
    with_tax = choice.agreed if choice else ZERO
    parts = choice.totals.tax if choice and choice.totals else ()
    return {
        "items": _money(items, currency),
        "together": _money(without - items, currency),
        "without_tax": _money(without, currency),
        "tax": [
            {
                "name": part.rate.name,
                "percent": f"{part.rate.percent.normalize():f}",
                "taxable": str(part.taxable),
                "amount": str(part.amount),
            }
            for part in parts
        ],
        "tax_sum": _money(with_tax - without, currency),
        "with_tax": _money(with_tax, currency),
    }


def deposits_of(agreed: Agreed | None, arisen: Iterable[str], returned: Mapping[str, int]) -> list[Json]:
    """The deposits on parts that were used, and how many of their old parts came back."""
    if agreed is None or not agreed.decided:
        return []
    kept = (agreed.keys - agreed.if_found) | (set(arisen) & agreed.if_found)
    return [
        {
            "key": line["key"],
            "text": line["text"],
            "pieces": int(Decimal(line["quantity"])),
            "each": line["unit_price"],
            "tax": line["tax"],
            "returned": returned.get(line["key"], 0),
        }
        for _, item in agreed.items()
        if item["key"] in kept
        for line in item["lines"]
        if line["kind"] == "deposit"
    ]


def _credit(deposits: Sequence[Json], agreed: Agreed | None, currency: str) -> Json:
    """What is given back for old parts that came: a credit of its own, taxed as the deposits were."""
    percents = {
        part["name"]: Decimal(part["percent"])
        for part in (agreed.document["totals"]["options"]["tax"] if agreed else ())
    }
    nets: dict[str, Decimal] = {}
    net = ZERO
    for one in deposits:
        back = Decimal(one["each"]) * one["returned"]
        net += back
        for name in one["tax"]:
            nets[name] = nets.get(name, ZERO) + back
    tax = sum((round_money(value * percents[name] / 100, currency) for name, value in nets.items()), ZERO)
    return {
        "without_tax": _money(net, currency),
        "tax": _money(tax, currency),
        "with_tax": _money(net + tax, currency),
    }


def _later(one: LaterItem) -> Json:
    return {
        "component": one.component.code,
        "position": one.position.code,
        "name": one.component.name,
        "where": "" if one.position.scope == "engine" else f"{one.position.scope} {one.position.code}",
        "why": one.why,
        "reason": one.reason,
    }


# The shop's own knowledge


def _shop(closed: Closed) -> Json:
    told, agreed = closed.told, closed.agreed
    titles = {item["key"]: item["title"] for _, item in agreed.items()} if agreed else {}
    return {
        "rate": str(agreed.rate) if agreed else None,
        "estimated": told.estimated,
        "actual": told.actual,
        "difference": told.difference,
        "money": None if told.money is None else str(told.money),
        "missing": list(told.missing),
        "operations": [_beside(one, capital(one.name), one.where) for one in told.operations],
        "items": [_beside(one, titles.get(one.code, "Beside the estimate"), ()) for one in told.items],
    }


def _beside(one: Beside, name: str, where: tuple[str, ...]) -> Json:
    return {
        "code": one.code,
        "name": name,
        "where": list(where),
        "estimated": one.estimated,
        "actual": one.actual,
        "difference": one.difference,
        "money": None if one.money is None else str(one.money),
    }
