"""What the wire voltage drop asks for: a wire, how long and how warm it is, and what flows through it.

>>> [one.name for one in PARAMETERS if one.required]
['length', 'length_is', 'current', 'supply', 'temperature']
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.parameter import Parameter, UnitChoice
from catalog.rules.calculators.wire import COLDEST, HOTTEST

PARAMETERS = (
    Parameter("gauge", "Gauge, AWG", required=False, help="0000 (4/0) to 40", example="12"),
    Parameter(
        "area",
        "Copper area",
        "mm2",
        most=Decimal(2000),
        required=False,
        help="instead of the gauge",
    ),
    Parameter("length", "Length", "m", most=Decimal(10_000), unit_by="length_unit", example="3"),
    Parameter(
        "length_is",
        "The length is",
        default="one-way",
        choices=(("one-way", "one way; the same back"), ("loop", "all of it, there and back")),
        example="one-way",
    ),
    Parameter(
        "current",
        "Current",
        "A",
        most=Decimal(10_000),
        from_least=True,
        example="20",
    ),
    Parameter("supply", "Supply voltage", "V", most=Decimal(1000), example="12"),
    Parameter(
        "temperature",
        "Temperature of the wire",
        "Cel",
        least=COLDEST,
        most=HOTTEST,
        from_least=True,
        default="20",
        unit_by="temperature_unit",
        help="20 °C unless given",
        example="20",
    ),
)

UNITS = (
    UnitChoice("length_unit", "Length is in", "m"),
    UnitChoice("temperature_unit", "Temperature is in", "Cel"),
    UnitChoice("show_voltage", "Show voltages in", "V", shows=True),
    UnitChoice("show_resistance", "Show the resistance in", "Ohm", shows=True),
    UnitChoice("show_resistance_per_length", "and per length in", "Ohm/km", shows=True),
    UnitChoice("show_area", "Show the area in", "mm2", shows=True),
    UnitChoice("show_diameter", "Show the diameter in", "mm", shows=True),
)
