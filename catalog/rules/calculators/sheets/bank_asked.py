"""What the heater bank asks for: a supply, one heater, how many of them, and what the meter showed.

>>> [one.name for one in PARAMETERS if one.required]
['supply', 'resistance', 'count', 'meter_percent', 'meter_amperes']
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.heaters import MOST_HEATERS
from catalog.rules.calculators.parameter import Parameter, UnitChoice

OHMS, AMPERES = Decimal(1000), Decimal(100_000)


PARAMETERS = (
    Parameter("supply", "Supply voltage", "V", most=Decimal(1000), example="12"),
    Parameter(
        "resistance",
        "Resistance of one heater",
        "Ohm",
        most=OHMS,
        unit_by="resistance_unit",
        help="the least, where it is a range",
        example="0.60",
    ),
    Parameter(
        "resistance_max",
        "Resistance, greatest",
        "Ohm",
        most=OHMS,
        unit_by="resistance_unit",
        required=False,
        help="where it is a range",
        example="0.66",
    ),
    Parameter("count", "Number of heaters", most=Decimal(MOST_HEATERS), whole=True, example="8"),
    Parameter(
        "leads",
        "Resistance of the leads",
        "Ohm",
        most=OHMS,
        from_least=True,
        unit_by="resistance_unit",
        required=False,
        help="there and back, common to all; none unless given",
        example="0.01",
    ),
    Parameter(
        "measured",
        "Measured current",
        "A",
        most=AMPERES,
        from_least=True,
        required=False,
        help="to be told how many heaters account for it",
        example="140",
    ),
    Parameter(
        "meter_percent",
        "Meter: percent of reading",
        "%",
        most=Decimal(100),
        from_least=True,
        default="0",
        help="its accuracy, plus or minus",
        example="3",
    ),
    Parameter(
        "meter_amperes",
        "Meter: plus amperes",
        "A",
        most=AMPERES,
        from_least=True,
        default="0",
        help="its counts times its resolution",
        example="0.5",
    ),
)

UNITS = (
    UnitChoice("resistance_unit", "Resistances are in", "Ohm"),
    UnitChoice("show_current", "Show currents in", "A", shows=True),
)
