"""How far the work may go beyond what the customer agreed to before the customer is asked again.

The shop sets one rule for where it works: nothing on top, a fixed amount, a percentage of the agreed total,
the lower of the two, or the higher of the two; and, if the law says so, never more than a cap. The totals are
compared with tax or without it. At the limit work may go on; a cent above it stops.

The higher of 10 and 10 percent, but not above 50, on agreed totals of 60, 200 and 600:

>>> rule = Allowance("higher", Decimal(10), Decimal(10), cap=Decimal(50))
>>> [limit(Decimal(total), rule, "USD").most for total in (60, 200, 600)]
[Decimal('70.00'), Decimal('220.00'), Decimal('650.00')]
>>> compare(Decimal("220.01"), Decimal(200), rule, "USD").over
Decimal('0.01')
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from shop.rules.currency import exact_money, format_money, round_money
from shop.rules.errors import Fault, Refused

Kind = Literal["none", "amount", "percent", "lower", "higher"]
NEEDS: dict[str, tuple[str, ...]] = {
    "none": (),
    "amount": ("amount",),
    "percent": ("percent",),
    "lower": ("amount", "percent"),
    "higher": ("amount", "percent"),
}


@dataclass(frozen=True, slots=True)
class Allowance:
    """The shop's rule. `amount` and `cap` are money, `percent` is of the agreed total; `before_tax` compares
    totals without tax. Refused where the kind needs a figure that is missing, or a figure is negative."""

    kind: Kind
    amount: Decimal | None = None
    percent: Decimal | None = None
    cap: Decimal | None = None
    before_tax: bool = False

    def __post_init__(self) -> None:
        if self.kind not in NEEDS:
            raise Refused.single("overrun rule", f"there is no rule {self.kind!r}", f"use {', '.join(NEEDS)}")
        faults = [
            Fault(f"overrun {name}", f"is missing for the rule '{self.kind}'", "give it, or choose another")
            for name in NEEDS[self.kind]
            if getattr(self, name) is None
        ]
        faults += [
            Fault(f"overrun {name}", f"{value} is negative", "give zero or more")
            for name in ("amount", "percent", "cap")
            if (value := getattr(self, name)) is not None and value < 0
        ]
        if faults:
            raise Refused(faults)


@dataclass(frozen=True, slots=True)
class Limit:
    """`most` = `authorised` + `tolerance`, `how` says in words where the tolerance is from."""

    authorised: Decimal
    tolerance: Decimal
    most: Decimal
    how: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """What the work now comes to against its limit; `over` is what lies above the limit, 0 within it."""

    total: Decimal
    limit: Limit
    over: Decimal

    @property
    def within(self) -> bool:
        return self.over == 0


def limit(authorised: Decimal, rule: Allowance, currency: str) -> Limit:
    """The most that may be charged without asking again. A percentage is rounded once, half up.

    `authorised` is in the currency's minor units, with or without tax as the rule says. Nothing is tolerated
    on an agreed total of zero or less: where nothing was agreed to, nothing may be done.
    """
    agreed = exact_money(authorised, currency, "authorised total")
    tolerance, how = _tolerance(agreed, rule, currency) if agreed > 0 else (Decimal(0), "nothing on top")
    if rule.cap is not None and tolerance > rule.cap:
        tolerance, how = rule.cap, f"{how}, but at most {format_money(rule.cap, currency)}"
    tolerance = round_money(tolerance, currency)
    return Limit(agreed, tolerance, agreed + tolerance, how)


def compare(now: Decimal, authorised: Decimal, rule: Allowance, currency: str) -> Comparison:
    """Hold what the work now comes to against what was agreed."""
    most = limit(authorised, rule, currency)
    now = exact_money(now, currency, "total now")
    over = now - most.most
    return Comparison(now, most, over if over > 0 else round_money(0, currency))


def _tolerance(agreed: Decimal, rule: Allowance, currency: str) -> tuple[Decimal, str]:
    if rule.kind == "none":
        return Decimal(0), "nothing on top"
    fixed, share, in_percent = Decimal(0), Decimal(0), ""
    if rule.amount is not None:
        fixed = round_money(rule.amount, currency)
    if rule.percent is not None:
        share = round_money(agreed * rule.percent / 100, currency)
        in_percent = f"{rule.percent.normalize():f} %, which is {format_money(share, currency)}"
    if rule.kind == "amount":
        return fixed, format_money(fixed, currency)
    if rule.kind == "percent":
        return share, in_percent
    both = f"of {format_money(fixed, currency)} and {in_percent}"
    if rule.kind == "lower":
        return min(fixed, share), f"the lower {both}"
    return max(fixed, share), f"the higher {both}"
