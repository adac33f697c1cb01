"""How much voltage a copper wire takes away before it reaches the consumer.

A wire has a resistance: 6 m of AWG 12 (3 m out and 3 m back) has 0.031 ohm, and 20 A through it leave 0.63 V
less at the end. A warmer wire has more: 0.393 % for each kelvin above 20 °C.

>>> twelve = awg_area(gauge_number("12"))
>>> f"{twelve:.4f}", f"{resistance(twelve, Decimal(6), Decimal(20)):.5f}"
('3.3088', '0.03126')
>>> gauge_number("4/0"), gauge_number("AWG 18")
(-3, 18)

American wire gauge (ASTM B258): diameter 0.005 x 92^((36 - n) / 39) inch, with n = 0, -1, -2, -3 for 1/0 (0)
to 4/0 (0000). Resistance rho x length / area; rho = 0.017241 ohm mm²/m at 20 °C, annealed copper (58 m per
ohm and mm²), and 0.00393 per kelvin: International Annealed Copper Standard, as in Industrial Power
Engineering and Applications Handbook, page 970. This gives HyperPhysics' wire gauge table to 0.02 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

from catalog.rules.calculators.digits import PI, WORKING, not_negative, positive, power
from catalog.rules.calculators.oring_series import MM_PER_INCH
from shop.rules.errors import Refused

RHO = Decimal("0.017241")
ALPHA = Decimal("0.00393")
REFERENCE = Decimal(20)
COLDEST, HOTTEST = Decimal(-100), Decimal(250)
ABSOLUTE_ZERO = Decimal("-273.15")
THICKEST, THINNEST = -3, 40


def gauge_number(text: str) -> int:
    """The n of AWG n: "18", "AWG 18"; 0 for "0" or "1/0", down to -3 for "0000" or "4/0". Refused else."""
    written = text.strip().upper().removeprefix("AWG").strip()
    if written.isascii() and written.isdigit() and len(written) <= 4:
        if set(written) == {"0"}:
            return 1 - len(written)
        if written[0] != "0" and int(written) <= THINNEST:
            return int(written)
    if written in ("1/0", "2/0", "3/0", "4/0"):
        return 1 - int(written[0])
    raise Refused.single("gauge", f"{text!r} is not an AWG size", "give 0000 (or 4/0) to 0, or 1 to 40")


def awg_diameter(number: int) -> Decimal:
    """Diameter in mm of the solid conductor AWG `number` (-3 for 0000, up to 40)."""
    if not THICKEST <= number <= THINNEST:
        raise Refused.single("gauge", f"{number} is not an AWG size", "give -3 (for 0000) to 40")
    with localcontext(WORKING):
        return Decimal("0.005") * power(Decimal(92), Fraction(36 - number, 39)) * MM_PER_INCH


def awg_area(number: int) -> Decimal:
    """Cross-section in mm² of AWG `number`."""
    with localcontext(WORKING):
        return PI / 4 * awg_diameter(number) ** 2


def resistance(area: Decimal, length: Decimal, temperature: Decimal) -> Decimal:
    """Ohms of a copper wire: area in mm², length in m (all of it, there and back), temperature in °C."""
    positive(area, "area", "mm²")
    not_negative(length, "length", "m")
    if temperature < ABSOLUTE_ZERO:
        raise Refused.single(
            "temperature", f"{temperature:f} °C is below absolute zero", "give -100 to 250 °C"
        )
    if not COLDEST <= temperature <= HOTTEST:
        raise Refused.single(
            "temperature",
            f"{temperature:f} °C is beyond what the straight-line rule is used for here",
            f"give {COLDEST} to {HOTTEST} °C",
        )
    with localcontext(WORKING):
        return RHO * length / area * (1 + ALPHA * (temperature - REFERENCE))


@dataclass(frozen=True, slots=True)
class Drop:
    """Ohms of the wire, volts lost in it, and these in percent of the supply."""

    resistance: Decimal
    volts: Decimal
    percent: Decimal


def drop(area: Decimal, length: Decimal, temperature: Decimal, current: Decimal, supply: Decimal) -> Drop:
    """Ohm's law: current (A) times the resistance of the whole wire; supply in V."""
    not_negative(current, "current", "A")
    positive(supply, "supply", "V")
    with localcontext(WORKING):
        ohms = resistance(area, length, temperature)
        return Drop(ohms, current * ohms, current * ohms / supply * 100)
