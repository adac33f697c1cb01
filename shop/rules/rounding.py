"""How Tallybore rounds: to the nearest, and an exact half goes away from zero. This is the only place.

A price of 2.675 becomes 2.68 and a credit of -2.675 becomes -2.68, so a refund mirrors the sale to the
cent. The amount is rounded as it was written down in decimal, never as a computer's binary fraction
(in which 2.675 is a shade less than itself and would come out as 2.67).

>>> from decimal import Decimal
>>> round_half_up(Decimal("2.675"), 2)
Decimal('2.68')
>>> round_half_up(Decimal("-2.675"), 2)
Decimal('-2.68')

A third of an hour has no end in decimals, so a fraction may be handed in and is rounded exactly:

>>> from fractions import Fraction
>>> round_half_up(Fraction(1, 3), 2)
Decimal('0.33')
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import cache

from shop.rules.errors import Refused

# No workshop amount needs more digits before the point; beyond it lies a typing mistake or an attack. The
# limit also keeps sums of rounded amounts exact: 18 digits and 4 decimals are well inside the 28 digits
# that Python's decimals carry by default.
MOST_DIGITS = 18
SMALLEST = 300
HALF = Fraction(1, 2)
# Wide enough for every checked amount with up to 40 decimals, and nobody else's context to change.
_WIDE = Context(prec=MOST_DIGITS + 42, rounding=ROUND_HALF_UP)


def round_half_up(value: Decimal | Fraction | int, places: int) -> Decimal:
    """Round to `places` decimals, exact halves away from zero: decimal.ROUND_HALF_UP, for any exact number.

    `value` is a Decimal, a Fraction or an int; `places` is zero or more. The answer always carries
    exactly `places` decimals and is never a minus zero. Unlike Decimal.quantize it does not depend on
    the precision of the current decimal context, and it takes fractions that decimals cannot hold.
    Raises TypeError for a float, Refused for a number that is not finite or is absurdly large.
    """
    if places < 0:
        raise TypeError("places counts decimals after the point: zero or more")
    if isinstance(value, Decimal) and places <= 40:
        # Decimals round exactly where they are; only fractions need the long way.
        checked(value, "amount")
        rounded = _WIDE.quantize(value, _unit(places))
        return rounded if rounded else _WIDE.abs(rounded)
    units = _half_up(abs(exact_fraction(value, "amount")) * 10**places)
    negative = value < 0 and units != 0
    return Decimal((int(negative), tuple(int(digit) for digit in str(units)), -places))


@cache
def _unit(places: int) -> Decimal:
    return Decimal(1).scaleb(-places)


def divide_half_up(numerator: int, denominator: int) -> int:
    """The whole number nearest to a quotient, exact halves away from zero: the same rule for whole units.

    Amounts in minor units are added up much quicker than Decimals. `denominator` is above zero.

    >>> divide_half_up(5, 2), divide_half_up(-5, 2), divide_half_up(7, 3)
    (3, -3, 2)
    """
    nearest = (2 * abs(numerator) + denominator) // (2 * denominator)
    return nearest if numerator >= 0 else -nearest


def _half_up(amount: Fraction) -> int:
    """The whole number nearest to a positive amount; a half goes up."""
    return int(amount + HALF)


def exact_fraction(value: Decimal | Fraction | int, where: str) -> Fraction:
    """The number as a fraction, for working without loss until the one rounding at the end.

    Raises TypeError for a float, Refused (naming `where`) for what is not finite or is absurdly large.
    """
    checked(value, where)
    if isinstance(value, Decimal) and value and value.adjusted() < -SMALLEST:
        # Far below half of any unit; expanding it would only waste memory.
        return Fraction(0)
    return Fraction(value)


def checked(value: Decimal | Fraction | int, where: str) -> None:
    """Refused, naming `where`, for what is not finite or is absurdly large; TypeError for no exact number."""
    if isinstance(value, Decimal):
        if not value.is_finite():
            raise Refused.single(where, f"{value} is not a number", "give a finite decimal number")
        if value and value.adjusted() >= MOST_DIGITS:
            raise Refused.single(
                where,
                f"{value:.2E} is larger than any amount handled here",
                f"give a number of at most {MOST_DIGITS} digits before the point",
            )
    elif isinstance(value, bool) or not isinstance(value, (int, Fraction)):
        raise TypeError(f"money is reckoned in exact numbers, not {type(value).__name__}")
