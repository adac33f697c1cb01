"""What the wire voltage drop asks for: a wire, how long and how warm it is, and what flows through it.

>>> [one.name for one in PARAMETERS if one.required]
['length', 'length_is', 'current', 'supply', 'temperature']
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.parameter import Parameter, UnitChoice
from catalog.rules.calculators.wire import ABSOLUTE_ZERO

PARAMETERS = (
    Parameter("gauge", "Gauge, AWG", required=False, help="0000 (4/0) to 40", example="12"),
    Parameter(
        "area",
        "or copper area",
        "mm2",
        most=Decimal(2000),
        required=False,
        unit_by="area_unit",
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
        unit_by="current_unit",
        example="20",
    ),
    Parameter("supply", "Supply voltage", "V", most=Decimal(1000), unit_by="voltage_unit", example="12"),
    Parameter(
        "temperature",
        "Temperature of the wire",
        "Cel",
        least=ABSOLUTE_ZERO,
        most=Decimal(1000),
        from_least=True,
        default="20",
        unit_by="temperature_unit",
        help="20 °C unless given",
        example="20",
    ),
)

UNITS = (
    UnitChoice("length_unit", "Length in", "m"),
    UnitChoice("area_unit", "Area in", "mm2"),
    UnitChoice("diameter_unit", "Diameter in", "mm"),
    UnitChoice("current_unit", "Current in", "A"),
    UnitChoice("voltage_unit", "Voltage in", "V"),
    UnitChoice("temperature_unit", "Temperature in", "Cel"),
    UnitChoice("resistance_unit", "Resistance in", "Ohm"),
    UnitChoice("resistance_per_length_unit", "Per length in", "Ohm/km"),
)
