"""Sharing out a whole so that the parts add up to it again.

Ten minutes among three jobs is three and a third each, which nobody can bill. Everyone first gets the
whole part of the exact share, and what is left over goes, one by one, to those who lost most by that;
between equals, to the one standing earlier. The customer can add the parts up, and nobody is more than
one unit away from the exact share. (The largest remainder method, known from apportionment.)

>>> largest_remainder(10, [1, 1, 1])
(4, 3, 3)

>>> from decimal import Decimal
>>> split_money(Decimal("100.00"), [1, 1, 1], "EUR")
(Decimal('33.34'), Decimal('33.33'), Decimal('33.33'))
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

from shop.rules.currency import exact_money, minor_units, round_money
from shop.rules.errors import Refused


def largest_remainder(total: int, weights: Sequence[int | Fraction]) -> tuple[int, ...]:
    """Share `total` in proportion to `weights`: whole numbers that sum to it exactly.

    Weights are exact (int or Fraction), none negative, and at least one positive unless there is nothing
    to share. A negative total (a credit) is shared as its opposite would be. Ties go to the earlier.
    Refused when the weights cannot carry the total; TypeError for floats.
    """
    _check(total, weights)
    if total < 0:
        return tuple(-share for share in largest_remainder(-total, weights))
    if total == 0:
        return (0,) * len(weights)
    # In whole numbers: the same weights times what makes none of them a fraction.
    times = lcm(*(weight.denominator for weight in weights))
    scaled = [weight.numerator * (times // weight.denominator) for weight in weights]
    whole = sum(scaled)
    shares, lost = map(list, zip(*(divmod(total * weight, whole) for weight in scaled), strict=True))
    left_over = total - sum(shares)
    # sorted() keeps equals in their order, which is what gives ties to the earlier one.
    by_loss = sorted(range(len(lost)), key=lambda place: -lost[place])
    for place in by_loss[:left_over]:
        shares[place] += 1
    return tuple(shares)


def split_money(amount: Decimal, weights: Sequence[int | Fraction], currency: str) -> tuple[Decimal, ...]:
    """Share a payable amount in proportion to `weights`, in whole minor units that sum to it exactly.

    Refused for an amount finer than the currency's minor unit: its parts could not add up to it.
    """
    places = minor_units(currency)
    units = int(Fraction(exact_money(amount, currency, "amount to share")) * 10**places)
    return tuple(
        round_money(Fraction(share, 10**places), currency) for share in largest_remainder(units, weights)
    )


def _check(total: int, weights: Sequence[int | Fraction]) -> None:
    if not isinstance(total, int):
        raise TypeError(f"a total is shared in whole units, not as {type(total).__name__}")
    for place, weight in enumerate(weights, start=1):
        if not isinstance(weight, (int, Fraction)):
            raise TypeError(f"weight {place} must be an int or a Fraction, not {type(weight).__name__}")
        if weight < 0:
            raise Refused.single(f"weight {place}", f"{weight} is negative", "give zero or more")
    if total and not any(weights):
        raise Refused.single(
            "weights", f"nothing to share {total} among", "give at least one weight above zero"
        )
