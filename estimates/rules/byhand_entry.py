"""What a person sets on the price of a job as it is typed, turned into what the rules take, or into faults.

>>> faults = Faults()
>>> discount_entry({"percent": "10", "reason": "regular customer"}, "discount", "EUR", faults)
DiscountIn(item='', percent=Decimal('10'), amount=None, reason='regular customer')
>>> discount_entry({"percent": "10", "amount": "5", "reason": ""}, "discount", "EUR", faults)
>>> for fault in faults:
...     print(fault)
discount, reason: is empty; give it
discount: has a percentage and an amount; give one of them
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, cast

from estimates.rules.byhand import DiscountIn, HandCategory, HandIn, PaymentIn
from estimates.rules.plan import Group
from shop.rules.currency import minor_units
from shop.rules.entry import Faults, decimal_entry, keys_entry, text_entry
from shop.rules.rounding import round_half_up

GROUPS = ("firm", "contingent", "optional")
CATEGORIES = ("parts", "fees", "bought-in")
MOST = Decimal(10) ** 9
KEY = "hand:"


def discount_entry(raw: Any, where: str, currency: str, faults: Faults) -> DiscountIn | None:
    """A discount: `item` (its key; none: the document), `percent` or `amount`, `reason`. None with faults."""
    if not keys_entry(raw, where, ("reason",), ("item", "percent", "amount"), faults):
        return None
    before = len(faults)
    item = text_entry(raw.get("item"), f"{where}, item", faults, longest=160)
    reason = text_entry(raw["reason"], f"{where}, reason", faults, longest=200, required=True)
    percent = _given(raw, "percent", where, faults)
    amount = _given(raw, "amount", where, faults)
    if percent is not None:
        if not 0 < percent <= 100:
            faults.add(f"{where}, percent", f"{percent} is none", "give more than 0 and at most 100")
        _finer(percent, 4, f"{where}, percent", faults)
    if amount is not None:
        _money(amount, currency, f"{where}, amount", faults)
        if amount <= 0:
            faults.add(
                f"{where}, amount", f"{amount} is not above zero", "give what comes off, without a sign"
            )
    if all(raw.get(key) not in (None, "") for key in ("percent", "amount")):
        faults.add(where, "has a percentage and an amount", "give one of them")
    elif all(raw.get(key) in (None, "") for key in ("percent", "amount")):
        faults.add(where, "takes nothing off", "give a percentage or an amount")
    if len(faults) > before:
        return None
    return DiscountIn(item, percent, amount, reason)


def hand_entry(raw: Any, where: str, currency: str, faults: Faults, key: str = "") -> HandIn | None:
    """A line written by hand; `key` names it where the entry does not. None with faults."""
    required = ("text", "category", "unit_price")
    if not keys_entry(raw, where, required, ("key", "group", "reason", "quantity", "unit_cost"), faults):
        return None
    before = len(faults)
    text = text_entry(raw["text"], f"{where}, text", faults, longest=200, required=True)
    reason = text_entry(raw.get("reason"), f"{where}, reason", faults, longest=200)
    group, category = raw.get("group") or "firm", raw["category"]
    if group not in GROUPS:
        faults.near(f"{where}, group", "group", str(group), GROUPS)
    if category not in CATEGORIES:
        faults.near(f"{where}, category", "category", str(category), CATEGORIES)
    quantity = Decimal(1) if raw.get("quantity") in (None, "") else _given(raw, "quantity", where, faults)
    if quantity is not None and quantity <= 0:
        faults.add(f"{where}, quantity", f"{quantity} is not above zero", "give how many")
    if quantity is not None and quantity > 100_000:
        faults.add(f"{where}, quantity", f"{quantity} is more than anyone fits", "give at most 100000")
    price = decimal_entry(raw["unit_price"], f"{where}, unit_price", faults)
    cost = _given(raw, "unit_cost", where, faults)
    for name, amount in (("unit_price", price), ("unit_cost", cost)):
        if amount is not None:
            if amount < 0:
                faults.add(f"{where}, {name}", f"{amount} is negative", "give zero or more, or a discount")
            _money(amount, currency, f"{where}, {name}", faults)
    named = text_entry(raw.get("key"), f"{where}, key", faults, longest=60) or key
    if named and not named.startswith(KEY):
        faults.add(f"{where}, key", f"'{named}' may be another item's", f"begin it with {KEY}")
    if len(faults) > before or price is None or quantity is None:
        return None
    return HandIn(
        named, cast(Group, group), cast(HandCategory, category), text, reason, quantity, price, cost
    )


def payment_entry(raw: Any, where: str, currency: str, today: date, faults: Faults) -> PaymentIn | None:
    """Money received in advance: `amount` (negative for a refund), `how`, `received_on`, `note`."""
    if not keys_entry(raw, where, ("amount", "how"), ("received_on", "note"), faults):
        return None
    before = len(faults)
    amount = decimal_entry(raw["amount"], f"{where}, amount", faults)
    if amount is not None:
        _money(amount, currency, f"{where}, amount", faults)
        if amount == 0:
            faults.add(f"{where}, amount", "is nothing", "give what was received, with a minus for a refund")
    how = text_entry(raw["how"], f"{where}, how", faults, longest=60, required=True)
    note = text_entry(raw.get("note"), f"{where}, note", faults, longest=200)
    received = today
    if raw.get("received_on") not in (None, ""):
        try:
            received = date.fromisoformat(str(raw["received_on"]))
        except ValueError:
            faults.add(
                f"{where}, received_on", f"{raw['received_on']!r} is not a day", "write it as 2026-03-31"
            )
        if received > today:
            faults.add(
                f"{where}, received_on", f"{received} is still to come", "give the day it was received"
            )
    if len(faults) > before or amount is None:
        return None
    return PaymentIn(amount, received, how, note)


def refund_fits(paid: Iterable[PaymentIn], payment: PaymentIn, where: str, faults: Faults) -> None:
    """A fault where more would be given back than was received."""
    left = sum((one.amount for one in paid), Decimal(0))
    if left + payment.amount < 0:
        faults.add(
            f"{where}, amount",
            f"gives back {-payment.amount} of {left} received",
            f"give back at most {left}",
        )


def next_key(hands: Iterable[str]) -> str:
    """The key of the next hand-written line: the one after the highest.

    >>> next_key(["hand:1", "hand:7", "hand:wash"])
    'hand:8'
    """
    numbers = [key.removeprefix(KEY) for key in hands]
    return f"{KEY}{max((int(n) for n in numbers if n.isascii() and n.isdecimal()), default=0) + 1}"


def _given(raw: Any, key: str, where: str, faults: Faults) -> Decimal | None:
    value = raw.get(key)
    return None if value in (None, "") else decimal_entry(value, f"{where}, {key}", faults)


def _finer(value: Decimal, places: int, where: str, faults: Faults) -> None:
    if value != round_half_up(value, places):
        faults.add(where, f"{value:f} is finer than it is kept", f"use at most {places} decimals")


def _money(amount: Decimal, currency: str, where: str, faults: Faults) -> None:
    """A payable amount: in whole minor units of the currency."""
    places = minor_units(currency)
    if amount != round_half_up(amount, places):
        right = f"give at most {places} decimals" if places else "give a whole amount"
        faults.add(where, f"{amount:f} is finer than {currency} is paid", right)
    if abs(amount) >= MOST:
        faults.add(where, f"{amount:f} is not credible", f"give less than {MOST}")


@dataclass(frozen=True, slots=True)
class ByHand:
    """Everything that a job file sets on the price."""

    lines: tuple[HandIn, ...] = ()
    discounts: tuple[DiscountIn, ...] = ()
    payments: tuple[PaymentIn, ...] = ()


def by_hand_entries(raw: Mapping[str, Any], currency: str, today: date, faults: Faults) -> ByHand:
    """The `lines`, `discounts` and `payments` of a job file, each of them a list. Lines are numbered in order
    where they name no key. Keys, and what a discount is on, come once; no refund exceeds what was paid."""

    def entries(name: str) -> list[Any]:
        given = raw.get(name, [])
        if isinstance(given, list):
            return given
        faults.add(name, "is not a list", "write it in brackets, [...]")
        return []

    hands: dict[str, HandIn] = {}
    for number, entry in enumerate(entries("lines")):
        hand = hand_entry(entry, f"lines[{number}]", currency, faults, next_key(hands))
        if hand is not None:
            if hand.key in hands:
                faults.add(f"lines[{number}], key", f"'{hand.key}' is given twice", "give each its own")
            hands[hand.key] = hand
    discounts: dict[str, DiscountIn] = {}
    for number, entry in enumerate(entries("discounts")):
        discount = discount_entry(entry, f"discounts[{number}]", currency, faults)
        if discount is not None:
            if discount.item in discounts:
                of = discount.item or "the document"
                faults.add(f"discounts[{number}]", f"{of} has a discount already", "give one on each")
            discounts[discount.item] = discount
    payments: list[PaymentIn] = []
    for number, entry in enumerate(entries("payments")):
        payment = payment_entry(entry, f"payments[{number}]", currency, today, faults)
        if payment is not None:
            refund_fits(payments, payment, f"payments[{number}]", faults)
            payments.append(payment)
    return ByHand(tuple(hands.values()), tuple(discounts.values()), tuple(payments))
