"""The units of measure understood here, and what each of them measures.

Units are written in UCUM, the Unified Code for Units of Measure (https://ucum.org): `Ohm`, `N.m`,
`[lbf_av].[ft_i]` for pound-force feet, `Cel` for degrees Celsius. Capitals matter: `mOhm` is a
thousandth of an ohm and `MOhm` is a million. A spelling that comes near is never taken for the unit
meant, since a wrong one could break a bolt; the refusal names what was probably wanted.

>>> unit("[psi]")
Unit(code='[psi]', symbol='psi', dimension='pressure', pint_name='psi')
>>> unit("Nm")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: unit: 'Nm' is not a unit known here; did you mean N.m
>>> [other.symbol for other in alike("N.m")]
['N·m', 'lbf·ft', 'lbf·in']
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType

from shop.rules.errors import Refused


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its UCUM `code`, the `symbol` people read, what it measures, and pint's name for it."""

    code: str
    symbol: str
    dimension: str
    pint_name: str


# Code in UCUM, symbol, name in pint; by what is measured. The first of each group is the usual one.
_TABLE: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    "resistance": (
        ("Ohm", "Ω", "ohm"),
        ("mOhm", "mΩ", "milliohm"),
        ("kOhm", "kΩ", "kiloohm"),
        ("MOhm", "MΩ", "megaohm"),
    ),
    "resistance per length": (
        ("Ohm/km", "Ω/km", "ohm/kilometer"),
        ("mOhm/m", "mΩ/m", "milliohm/meter"),
        ("Ohm/m", "Ω/m", "ohm/meter"),
        ("Ohm/[ft_i]", "Ω/ft", "ohm/foot"),
    ),
    "voltage": (("V", "V", "volt"), ("mV", "mV", "millivolt"), ("kV", "kV", "kilovolt")),
    "current": (("A", "A", "ampere"), ("mA", "mA", "milliampere"), ("uA", "µA", "microampere")),
    "power": (("W", "W", "watt"), ("kW", "kW", "kilowatt")),
    "charge": (("A.h", "A·h", "ampere*hour"),),
    "torque": (
        ("N.m", "N·m", "newton*meter"),
        ("[lbf_av].[ft_i]", "lbf·ft", "force_pound*foot"),
        ("[lbf_av].[in_i]", "lbf·in", "force_pound*inch"),
    ),
    "force": (("N", "N", "newton"), ("kN", "kN", "kilonewton"), ("[lbf_av]", "lbf", "force_pound")),
    "angle": (("deg", "°", "degree"),),
    "length": (
        ("mm", "mm", "millimeter"),
        ("um", "µm", "micrometer"),
        ("cm", "cm", "centimeter"),
        ("m", "m", "meter"),
        ("km", "km", "kilometer"),
        ("[in_i]", "in", "inch"),
        ("[ft_i]", "ft", "foot"),
    ),
    "area": (
        ("mm2", "mm²", "millimeter**2"),
        ("cm2", "cm²", "centimeter**2"),
        ("[sin_i]", "in²", "inch**2"),
    ),
    "volume": (
        ("L", "L", "liter"),
        ("mL", "mL", "milliliter"),
        ("cm3", "cm³", "centimeter**3"),
        ("[gal_us]", "US gal", "gallon"),
    ),
    "temperature": (("Cel", "°C", "degC"), ("[degF]", "°F", "degF"), ("K", "K", "kelvin")),
    "change per kelvin": (("/K", "1/K", "1/kelvin"),),
    "pressure": (
        ("kPa", "kPa", "kilopascal"),
        ("Pa", "Pa", "pascal"),
        ("MPa", "MPa", "megapascal"),
        ("bar", "bar", "bar"),
        ("mbar", "mbar", "millibar"),
        ("[psi]", "psi", "psi"),
    ),
    "time": (
        ("min", "min", "minute"),
        ("s", "s", "second"),
        ("ms", "ms", "millisecond"),
        ("h", "h", "hour"),
    ),
    "mass": (("kg", "kg", "kilogram"), ("g", "g", "gram"), ("[lb_av]", "lb", "pound")),
    # Not pint's own rpm: that is an angle per time, and would make 60 rpm 6.28 Hz. In UCUM a turn in
    # braces is a remark without weight, so {rev}/min is plainly "per minute" and 60 of them make 1 Hz.
    "frequency": (("Hz", "Hz", "hertz"), ("kHz", "kHz", "kilohertz"), ("{rev}/min", "rpm", "1/minute")),
    "flow": (("L/min", "L/min", "liter/minute"), ("mL/min", "mL/min", "milliliter/minute")),
    "ratio": (("1", "", "dimensionless"), ("%", "%", "percent")),
}

UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        code: Unit(code, symbol, dimension, pint_name)
        for dimension, rows in _TABLE.items()
        for code, symbol, pint_name in rows
    }
)


def unit(code: str) -> Unit:
    """The unit with this UCUM code, written exactly so; Refused naming the codes that come near."""
    if code in UNITS:
        return UNITS[code]
    near = _near(code)
    raise Refused.single(
        "unit",
        f"{code!r} is not a unit known here",
        f"did you mean {' or '.join(near)}" if near else f"write one of {', '.join(UNITS)}",
    )


def alike(code: str) -> tuple[Unit, ...]:
    """All units that measure the same as this one, itself included: what it can be converted to."""
    dimension = unit(code).dimension
    return tuple(other for other in UNITS.values() if other.dimension == dimension)


def _near(code: str) -> tuple[str, ...]:
    """Codes whose code, symbol or name reads like the one given, closest first."""
    spellings: dict[str, list[str]] = {}
    for known in UNITS.values():
        for text in {_letters(known.code), _letters(known.symbol), _letters(known.pint_name)} - {""}:
            spellings.setdefault(text, []).append(known.code)
    wanted = _letters(code)
    found = [wanted] if wanted in spellings else get_close_matches(wanted, spellings, n=3, cutoff=0.7)
    return tuple(dict.fromkeys(close for text in found for close in spellings[text]))


def _letters(text: str) -> str:
    return "".join(sign for sign in text.lower() if sign.isalnum())
