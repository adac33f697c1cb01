"""How far a price moved, and whether a person should look before it counts.

A list price that goes from 40.00 to 43.00 rose by 3.00, which is 7.5 %. Moves happen; a price that moves by
more than the supplier is trusted with (25 % unless the workshop says otherwise) is more often a slipped
decimal point or a price per pack, and is held until somebody has looked. Down counts like up. A part that
cost nothing has no percentage, so any price for it is held.

>>> from decimal import Decimal
>>> move = Move(Decimal("40.00"), Decimal("43.00"))
>>> move.amount, move.percent
(Decimal('3.00'), Decimal('7.5'))
>>> is_held(Decimal("40.00"), Decimal("50.00"), Decimal(25)), is_held(Decimal("40"), Decimal("50.01"), Decimal(25))
(False, True)

Buying more should never cost more for each: a price break above the price of one is told.

>>> dearer(Decimal("4.00"), [(10, Decimal("3.80")), (50, Decimal("4.20"))])
((50, Decimal('4.20')),)
"""  # noqa: E501

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from shop.rules.rounding import round_half_up

Amount = TypeVar("Amount", Decimal, int)


@dataclass(frozen=True, slots=True)
class Move:
    """A price before and after, in one currency."""

    old: Decimal
    new: Decimal

    @property
    def amount(self) -> Decimal:
        return self.new - self.old

    @property
    def percent(self) -> Decimal | None:
        """Of the old price, one decimal; None where that was nothing."""
        if not self.old:
            return None
        return round_half_up(Fraction(self.amount) * 100 / Fraction(self.old), 1)


def is_held(old: Decimal, new: Decimal, percent: Decimal) -> bool:
    """Whether the move is more than `percent` of the old price, up or down; exactly as much is not."""
    if old == new:
        return False
    return old == 0 or abs(new - old) * 100 > percent * old


def dearer(price: Amount, breaks: Iterable[tuple[int, Amount]]) -> tuple[tuple[int, Amount], ...]:
    """The price breaks, as (pieces from, price), that cost more than the price of a single piece.

    All amounts in one unit: Decimals of the currency, or whole ten-thousandths of it.
    """
    return tuple((quantity, each) for quantity, each in breaks if each > price)
