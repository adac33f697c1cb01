"""What current a bank of heaters should draw, and how many of them a measured current accounts for.

Heaters side by side share the supply: each of 0.60 ohm on 12 V draws 20 A, eight draw 160 A. The leads in
front of all of them take their share: with 0.01 ohm the eight draw 141 A. Read the other way round, 138 to
146 A can only be seven or eight of them, and 60 A only three.

>>> bank = Bank(Decimal(12), Decimal("0.60"), Decimal("0.66"), 8)
>>> [f"{value:.1f}" for value in expected(bank, 8)]
['145.5', '160.0']
>>> consistent(bank, Decimal(140), Decimal(2)), consistent(bank, Decimal(70), Decimal(1))
((7,), ())

Ohm's law; k equal heaters side by side have R / k. A count is consistent when what it would draw, anywhere
within the heaters' resistance range, overlaps the measured current with its uncertainty, limits included.
Heaters get more resistance as they heat up, so cold figures hold for the first moment only.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext

from catalog.rules.calculators.digits import WORKING, ZERO, not_negative, positive
from shop.rules.errors import Refused

MOST_HEATERS = 100


@dataclass(frozen=True, slots=True)
class Bank:
    """Equal heaters side by side: supply (V), least and greatest ohms of one, how many, ohms of the leads."""

    supply: Decimal
    resistance_min: Decimal
    resistance_max: Decimal
    count: int
    leads: Decimal = ZERO

    def __post_init__(self) -> None:
        positive(self.supply, "supply", "V")
        positive(self.resistance_min, "resistance", "Ω")
        positive(self.resistance_max, "resistance_max", "Ω")
        not_negative(self.leads, "leads", "Ω")
        if self.resistance_min > self.resistance_max:
            raise Refused.single(
                "resistance_max",
                "it is less than the least resistance",
                f"give at least {self.resistance_min:f} Ω, or leave it out for a single value",
            )
        if not 1 <= self.count <= MOST_HEATERS:
            raise Refused.single(
                "count", f"{self.count} is not a number of heaters", f"give 1 to {MOST_HEATERS}"
            )


def current(bank: Bank, count: int, resistance: Decimal) -> Decimal:
    """Amperes that `count` heaters of this many ohms each draw: U / (leads + R / count)."""
    if count == 0:
        return ZERO
    with localcontext(WORKING):
        return bank.supply * count / (bank.leads * count + resistance)


def expected(bank: Bank, count: int) -> tuple[Decimal, Decimal]:
    """Least and greatest amperes that `count` working heaters of the bank draw."""
    return current(bank, count, bank.resistance_max), current(bank, count, bank.resistance_min)


def uncertainty(measured: Decimal, percent: Decimal, amperes: Decimal) -> Decimal:
    """The meter's: percent of what it shows plus a fixed number of amperes."""
    not_negative(percent, "meter_percent", "%")
    not_negative(amperes, "meter_amperes", "A")
    with localcontext(WORKING):
        return abs(measured) * percent / 100 + amperes


def consistent(bank: Bank, measured: Decimal, plus_minus: Decimal) -> tuple[int, ...]:
    """Every count, none to all, that the measured current (A, plus or minus) can come from."""
    not_negative(measured, "measured", "A")
    not_negative(plus_minus, "meter_amperes", "A")
    with localcontext(WORKING):
        low, high = measured - plus_minus, measured + plus_minus
    ranges = ((count, *expected(bank, count)) for count in range(bank.count + 1))
    return tuple(count for count, least, most in ranges if least <= high and low <= most)


def counts_in_words(counts: tuple[int, ...], total: int) -> str:
    """ "6 or 7 of 8", "all 8", "none of 8 draws current", "none of the counts explains it"."""
    if not counts:
        return "none of the counts explains it"
    if counts == (total,):
        return f"all {total}"
    if counts == (0,):
        return f"none of {total} draws current"
    told = [str(count) for count in counts]
    if len(told) > 3 and counts[-1] - counts[0] == len(counts) - 1:
        return f"{told[0]} to {told[-1]} of {total}"
    return f"{' or '.join([', '.join(told[:-1]), told[-1]] if len(told) > 1 else told)} of {total}"
