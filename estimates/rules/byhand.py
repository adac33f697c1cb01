"""What a person sets on the price of one job: lines written by hand, discounts, money paid in advance.

A hand-written line is work bought in, a fee, or a part that no service data brings; the customer decides on
it like on any other item. A discount is a percentage or an amount, off one item or off the whole document,
and always says why. A payment in advance changes no price, only what is still due.

>>> wash = HandIn("hand:1", "firm", "bought-in", "Pressure test of the cylinder head", "", Decimal(1),
...     Decimal("120.00"))
>>> hand_item(wash, included=()).title
'Pressure test of the cylinder head'
>>> ten = DiscountIn("", Decimal(10), None, "regular customer")
>>> ten.off(12345, 100), DiscountIn("", None, Decimal("500.00"), "goodwill").off(12345, 100)
(1235, 12345)
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Literal

from estimates.rules.plan import Group, Item, Plan
from estimates.rules.terms import Category
from shop.rules.remainder import largest_remainder
from shop.rules.rounding import divide_half_up

HandCategory = Literal["parts", "fees", "bought-in"]


@dataclass(frozen=True, slots=True)
class HandIn:
    """A line written by hand; prices per piece without tax. `unit_cost` is the shop's own business."""

    key: str
    group: Group
    category: HandCategory
    text: str
    reason: str
    quantity: Decimal
    unit_price: Decimal
    unit_cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class DiscountIn:
    """Off the item of this key, off the document where it is "". Either `percent` or `amount` is set."""

    item: str
    percent: Decimal | None
    amount: Decimal | None
    reason: str

    def off(self, base: int, scale: int) -> int:
        """What it takes off `base`, both in minor units of which `scale` make one whole; never more than it.

        A percentage is rounded half up, once.
        """
        if self.percent is not None:
            up, down = self.percent.as_integer_ratio()
            return divide_half_up(base * up, down * 100)
        assert self.amount is not None
        up, down = self.amount.as_integer_ratio()
        return min(divide_half_up(up * scale, down), base)


@dataclass(frozen=True, slots=True)
class PaymentIn:
    """Money received in advance; negative for a refund."""

    amount: Decimal
    received_on: date
    how: str
    note: str = ""


@dataclass(frozen=True)
class Adjustments:
    """Everything that changes the sums of a document beside its items.

    `freight` is what each supplier (code) asks for sending, passed on to the customer; charged where
    something is bought there. Empty where the shop absorbs it.
    """

    discounts: tuple[DiscountIn, ...] = ()
    payments: tuple[PaymentIn, ...] = ()
    freight: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def document(self) -> DiscountIn | None:
        return next((discount for discount in self.discounts if not discount.item), None)

    @property
    def by_item(self) -> dict[str, DiscountIn]:
        return {discount.item: discount for discount in self.discounts if discount.item}

    @property
    def prepaid(self) -> Decimal:
        return sum((payment.amount for payment in self.payments), Decimal(0))


NONE = Adjustments()


def split_off(discount: DiscountIn, bases: Mapping[Category, int], scale: int) -> dict[Category, int]:
    """A discount on sums by category, spread over them so that it comes off exactly."""
    there = {category: base for category, base in bases.items() if base}
    amount = discount.off(sum(there.values()), scale)
    if not amount:
        return {}
    return dict(zip(there, largest_remainder(amount, list(there.values())), strict=True))


def hand_item(hand: HandIn, included: Collection[str]) -> Item:
    """The item of a line written by hand; taken in, it is firm and remembers where it came from."""
    taken = hand.group != "firm" and hand.key in included
    why = (hand.reason,) if hand.reason else ()
    return Item(
        hand.key,
        "firm" if taken else hand.group,
        hand.text,
        why,
        (),
        origin=hand.group if taken else None,
        hand=hand,
    )


def with_hand_lines(plan: Plan, hands: Iterable[HandIn], included: Collection[str]) -> Plan:
    """The plan with the hand-written lines as items, each at the end of its group."""
    more = [hand_item(hand, included) for hand in hands]
    order = ("firm", "contingent", "optional")
    items: Sequence[Item] = sorted((*plan.items, *more), key=lambda item: order.index(item.group))
    return replace(plan, items=tuple(items)) if more else plan


def without_items(discounts: Iterable[DiscountIn], plan: Plan) -> tuple[DiscountIn, ...]:
    """The discounts on items that the plan no longer has: nothing comes off, and somebody should know."""
    keys = {item.key for item in plan.items}
    return tuple(discount for discount in discounts if discount.item and discount.item not in keys)
