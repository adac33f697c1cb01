"""The amounts a document is added up from: lines, and what is allowed or charged on the whole.

A line's amount is its quantity times its price, rounded once to the minor unit, plus what is charged and
less what is allowed on that line. A price may be for several pieces (12.00 per hundred): then the
quantity is divided by those first, without rounding in between. A returned item has a negative quantity.

>>> from decimal import Decimal
>>> line_net(Decimal(132), Decimal("15.24"), base_quantity=Decimal(12), currency="EUR")
Decimal('167.64')
>>> line_net(Decimal(-1), Decimal("85.00"), currency="EUR")
Decimal('-85.00')
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from decimal import Decimal

from shop.rules.currency import exact_money, round_money
from shop.rules.errors import Fault, Refused
from shop.rules.rounding import exact_fraction


@dataclass(frozen=True, slots=True)
class NetLine:
    """One line: `key` for reference, `net` without tax (negative for a return), the keys of its taxes."""

    key: str
    net: Decimal
    tax_keys: tuple[str, ...]

    def faults(self, kind: str, known: Collection[str], currency: str) -> Iterator[Fault]:
        """What keeps this line out of a document with these tax keys and this currency."""
        where = f"{kind} {self.key}"
        yield from _amount_faults(where, self.net, currency)
        yield from _tax_faults(where, self.tax_keys, known)


@dataclass(frozen=True, slots=True)
class Adjustment:
    """An allowance or a charge on the whole document: `amount` is positive either way (EN 16931 BG-20, 21).

    `reason` is printed (BR-33, BR-38: there must be one).
    """

    key: str
    reason: str
    amount: Decimal
    tax_keys: tuple[str, ...]

    def faults(self, kind: str, known: Collection[str], currency: str) -> Iterator[Fault]:
        """What keeps this allowance or charge out of a document, as for a line."""
        where = f"{kind} {self.key}"
        not_payable = tuple(_amount_faults(where, self.amount, currency))
        yield from not_payable
        if not not_payable and self.amount < 0:
            other = "a charge" if kind == "allowance" else "an allowance"
            yield Fault(where, f"{self.amount} is negative", f"give a positive amount, or make it {other}")
        if not self.reason.strip():
            yield Fault(where, "has no reason", "say what it is for")
        yield from _tax_faults(where, self.tax_keys, known)


def line_net(
    quantity: Decimal | int,
    price: Decimal,
    *,
    base_quantity: Decimal | int = 1,
    allowance: Decimal | int = 0,
    charge: Decimal | int = 0,
    currency: str,
) -> Decimal:
    """A line's amount without tax: quantity x price / base quantity, rounded, + charge - allowance.

    EN 16931 BT-131; `price` is for `base_quantity` pieces (BT-146, BT-149) and may have more decimals than
    the currency. `allowance` and `charge` are payable amounts for the whole line (BT-136, BT-141). Refused:
    a negative price (BR-27: return the quantity instead), a base quantity of zero or less, a negative
    allowance or charge or one finer than the minor unit.
    """
    pieces = exact_fraction(quantity, "quantity")
    each = exact_fraction(price, "price")
    base = exact_fraction(base_quantity, "base quantity")
    added = exact_money(charge, currency, "line charge")
    taken_off = exact_money(allowance, currency, "line allowance")
    faults = []
    if each < 0:
        faults.append(Fault("price", f"{price} is negative", "make the quantity negative for a return"))
    if base <= 0:
        faults.append(Fault("base quantity", f"{base_quantity} is not above zero", "give 1 or more"))
    for where, amount in (("line allowance", taken_off), ("line charge", added)):
        if amount < 0:
            faults.append(Fault(where, f"{amount} is negative", "give zero or more"))
    if faults:
        raise Refused(faults)
    return round_money(pieces * each / base, currency) + added - taken_off


def _amount_faults(where: str, amount: Decimal, currency: str) -> Iterator[Fault]:
    try:
        exact_money(amount, currency, where)
    except Refused as refusal:
        yield from refusal.faults


def _tax_faults(where: str, keys: tuple[str, ...], known: Collection[str]) -> Iterator[Fault]:
    for key in dict.fromkeys(keys):
        if key not in known:
            listed = ", ".join(known) or "none is set up"
            yield Fault(where, f"no tax rate {key!r}", f"use one of the shop's rates: {listed}")
        if keys.count(key) > 1:
            yield Fault(where, f"tax {key!r} is named twice", "name each tax once")
