"""The same quantity in another unit.

A value is stored once, in one unit, and shown in whichever the reader asks for: 25 N·m is 18.4 lbf·ft.
Torque turns only into torque and pressure only into pressure; asking for newton metres in kilopascals is
a mistake and is said to be one. Speeds are turns: 3000 rpm is 50 Hz. Temperatures are readings on a scale
(20 °C is 68 °F), not differences between two readings.

Every unit here is an exact fraction of every other that measures the same, so a limit asked for in another
unit can be compared without rounding anything: `exactly` gives that fraction, `convert` its 24 digits.

>>> from decimal import Decimal
>>> convert(Decimal("20"), "Cel", "[degF]")
Decimal('68')
>>> express(Decimal("25"), "N.m", "[lbf_av].[ft_i]"), unit("[lbf_av].[ft_i]").symbol
(Decimal('18.4'), 'lbf·ft')
>>> exactly(Decimal("1"), "[degF]", "Cel")
Fraction(-155, 9)
>>> convert(Decimal("25"), "N.m", "kPa")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: unit: N.m measures torque and kPa measures pressure; ask for one of \
N.m, [lbf_av].[ft_i], [lbf_av].[in_i]
"""

from __future__ import annotations

from decimal import Context, Decimal, localcontext
from fractions import Fraction
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING

from shop.rules.errors import Refused
from shop.rules.rounding import exact_fraction, round_half_up
from shop.rules.unit_table import UNITS, Unit, alike, unit

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = ["UNITS", "Unit", "alike", "convert", "exactly", "express", "unit"]

# An endless decimal (feet into pounds, ninths of a degree) is given to 24 digits; others come out whole.
WORKING = Context(prec=40)
CARRIED_DIGITS = 24
LEAST_SHOWN_DIGITS = 3


def convert(value: Decimal, from_code: str, to_code: str) -> Decimal:
    """The same quantity in another unit, to 24 digits, without trailing zeros.

    Refused for an unknown code and for units that do not measure the same; a quantity in its own unit comes
    back untouched. For showing, use `express`; for comparing, `exactly`.
    """
    if not isinstance(value, Decimal):
        raise TypeError(f"a quantity is a Decimal here, not {type(value).__name__}")
    there = exactly(value, from_code, to_code)
    if from_code == to_code:
        return value
    with localcontext(WORKING):
        return _without_trailing_zeros(
            _to_digits(Decimal(there.numerator) / Decimal(there.denominator), CARRIED_DIGITS)
        )


def exactly(value: Decimal, from_code: str, to_code: str) -> Fraction:
    """The same quantity in another unit without any rounding, as a fraction.

    Factors are pint's, which follow NIST SP 811. Refused as for `convert`, and for what is no finite number
    or has more than 18 digits before the point.
    """
    source, target = unit(from_code), unit(to_code)
    if source.dimension != target.dimension:
        raise Refused.single(
            "unit",
            f"{source.code} measures {source.dimension} and {target.code} measures {target.dimension}",
            f"ask for one of {', '.join(other.code for other in alike(source.code))}",
        )
    zero, size = _scale(source.pint_name, target.pint_name)
    return exact_fraction(value, "value") * size + zero


def express(value: Decimal, from_code: str, to_code: str) -> Decimal:
    """The same quantity in another unit, rounded for reading.

    It keeps as many significant digits as the value was stored with, and at least three: 9 N·m shown as
    7 lbf·ft would be a twentieth too much on the spanner. Temperatures keep their decimal places
    instead, since digits mean nothing on a scale whose zero was chosen. Refused as for `convert`.
    """
    if from_code == to_code:
        return convert(value, from_code, to_code)
    there = convert(value, from_code, to_code)
    _, digits, exponent = value.as_tuple()
    if unit(to_code).dimension == "temperature":
        return round_half_up(there, max(0, -int(exponent)))
    return _to_digits(there, max(LEAST_SHOWN_DIGITS, len(digits)))


def _to_digits(value: Decimal, digits: int) -> Decimal:
    """Rounded to so many significant digits, but never to tens or hundreds."""
    return round_half_up(value, max(0, digits - 1 - value.adjusted())) if value else Decimal(0)


def _without_trailing_zeros(value: Decimal) -> Decimal:
    return Decimal(f"{value.normalize(WORKING):f}")


@cache
def _scale(source: str, target: str) -> tuple[Fraction, Fraction]:
    """Where the zero of one scale lies on the other, and how much one step of it is there."""
    zero, one = (_registry().Quantity(Fraction(count), source).to(target).magnitude for count in (0, 1))
    return zero, one - zero


_building = Lock()


def _registry() -> UnitRegistry[Fraction]:
    # Two web threads asking for the first conversion at once must not each build a registry.
    with _building:
        return _built_registry()


@cache
def _built_registry() -> UnitRegistry[Fraction]:
    """Built on the first conversion: starting the program stays quick."""
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Fraction)
