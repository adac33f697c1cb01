"""Values asked for by a range, in any unit that measures the same.

"Heaters of 0.6 to 2 ohm when cold" is answered with the values that lie wholly inside: a heater stated as
0.60 to 1.20 ohm is one, a heater of 0.50 to 0.90 ohm is not, for some of them measure 0.50. Both bounds
belong to the range. A value with limits is judged by its limits and not by its nominal; one without limits
by its nominal. A limit on one side only leaves the other side open: "at most 5 N·m" lies below 6 N·m, but
nobody can say that it lies above 3 N·m, so a range that starts somewhere does not hold it.

A bound in another unit is turned into the stored one without rounding. Values are kept to six decimals, so
the bound is moved inward to the next such value, which lets no value in and shuts none out.

>>> from decimal import Decimal
>>> asked = asked_range(Decimal("0.0006"), Decimal("0.002"), "kOhm", "Ohm")
>>> asked.at_least, asked.at_most
(Decimal('0.600000'), Decimal('2.000000'))
>>> lies_within(Decimal("0.60"), None, Decimal("1.20"), asked)
True
>>> lies_within(Decimal("0.50"), Decimal("0.80"), Decimal("0.90"), asked)
False
>>> lies_within(None, None, Decimal("1.20"), asked)
False
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from shop.rules.errors import Refused
from shop.rules.units import exactly

PLACES = 6  # of every stored value
LARGEST = Decimal("999999999999.999999")


@dataclass(frozen=True, slots=True)
class Asked:
    """Bounds in the stored unit, both within the range, to six decimals. None: open on that side."""

    at_least: Decimal | None
    at_most: Decimal | None


def asked_range(
    at_least: Decimal | None, at_most: Decimal | None, asked_unit: str, stored_unit: str
) -> Asked:
    """The bounds in the unit the values are stored in, compared without loss; units are UCUM codes.

    Refused, naming "at_least", "at_most" or "unit", where the unit is unknown or measures something else, the
    bounds are the wrong way round, or one is beyond any value on record.
    """
    if at_least is not None and at_most is not None and at_least > at_most:
        raise Refused.single(
            "at_least",
            f"{at_least:f} is above at_most, {at_most:f}",
            "give the smaller of the two as at_least",
        )
    return Asked(
        None if at_least is None else _bound("at_least", at_least, asked_unit, stored_unit, up=True),
        None if at_most is None else _bound("at_most", at_most, asked_unit, stored_unit, up=False),
    )


def _bound(where: str, value: Decimal, asked_unit: str, stored_unit: str, *, up: bool) -> Decimal:
    there = exactly(value, asked_unit, stored_unit) * 10**PLACES
    steps = -(-there.numerator // there.denominator) if up else there.numerator // there.denominator
    digits = tuple(int(digit) for digit in str(abs(steps)))
    bound = Decimal((int(steps < 0), digits, -PLACES))
    if abs(bound) > LARGEST:
        raise Refused.single(
            where,
            f"{value} {asked_unit} is beyond every value on record",
            f"give a value of at most twelve digits in {stored_unit}",
        )
    return bound


def lies_within(
    minimum: Decimal | None, nominal: Decimal | None, maximum: Decimal | None, asked: Asked
) -> bool:
    """Whether a stated value lies wholly inside; all in the stored unit. A text never does."""
    without_limits = minimum is None and maximum is None
    low = nominal if without_limits else minimum
    high = nominal if without_limits else maximum
    if low is None and high is None:
        return False
    return (asked.at_least is None or (low is not None and low >= asked.at_least)) and (
        asked.at_most is None or (high is not None and high <= asked.at_most)
    )
