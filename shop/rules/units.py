"""The same quantity in another unit.

A value is stored once, in one unit, and shown in whichever the reader asks for: 25 N·m is 18.4 lbf·ft.
Torque turns only into torque and pressure only into pressure; asking for newton metres in kilopascals is
a mistake and is said to be one. Speeds are turns: 3000 rpm is 50 Hz. Temperatures are readings on a scale
(20 °C is 68 °F), not differences between two readings.

>>> from decimal import Decimal
>>> convert(Decimal("20"), "Cel", "[degF]")
Decimal('68')
>>> express(Decimal("25"), "N.m", "[lbf_av].[ft_i]"), unit("[lbf_av].[ft_i]").symbol
(Decimal('18.4'), 'lbf·ft')
>>> convert(Decimal("25"), "N.m", "kPa")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: unit: N.m measures torque and kPa measures pressure; ask for one of \
N.m, [lbf_av].[ft_i], [lbf_av].[in_i]
"""

from __future__ import annotations

from decimal import Context, Decimal, localcontext
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING

from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up
from shop.rules.unit_table import UNITS, Unit, alike, unit

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = ["UNITS", "Unit", "alike", "convert", "express", "unit"]

# Worked to 40 digits and given to 24: every factor in the table that is exact then comes out exact, and
# the last digits of an endless one (feet into pounds, fifths of a degree) do not show.
WORKING = Context(prec=40)
CARRIED_DIGITS = 24
LEAST_SHOWN_DIGITS = 3


def convert(value: Decimal, from_code: str, to_code: str) -> Decimal:
    """The same quantity in another unit, to 24 digits, without trailing zeros.

    Factors are pint's, which follow NIST SP 811. Refused for an unknown code and for units that do not
    measure the same; a quantity in its own unit comes back untouched. For showing, use `express`.
    """
    if not isinstance(value, Decimal):
        raise TypeError(f"a quantity is a Decimal here, not {type(value).__name__}")
    source, target = unit(from_code), unit(to_code)
    if source.dimension != target.dimension:
        raise Refused.single(
            "unit",
            f"{source.code} measures {source.dimension} and {target.code} measures {target.dimension}",
            f"ask for one of {', '.join(other.code for other in alike(source.code))}",
        )
    if source is target:
        return value
    with localcontext(WORKING):
        there = _registry().Quantity(_finite(value), source.pint_name).to(target.pint_name)
        return _without_trailing_zeros(_to_digits(there.magnitude, CARRIED_DIGITS))


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


def _finite(value: Decimal) -> Decimal:
    if not value.is_finite():
        raise Refused.single("value", f"{value} is not a number", "give a finite decimal number")
    return value


_building = Lock()


def _registry() -> UnitRegistry[Decimal]:
    # Two web threads asking for the first conversion at once must not each build a registry.
    with _building:
        return _built_registry()


@cache
def _built_registry() -> UnitRegistry[Decimal]:
    """Built on the first conversion, in the wide context: starting the program stays quick."""
    from pint import UnitRegistry

    return UnitRegistry(non_int_type=Decimal)
