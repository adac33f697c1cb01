"""What the tightening torque asks for: a thread, how strong and how slippery the bolt is, how far to load it.

>>> [one.name for one in PARAMETERS if one.required]
['thread', 'property_class', 'surface', 'preload_percent']
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.parameter import Parameter, UnitChoice
from catalog.rules.calculators.tightening import CLASSES, NUT_FACTORS

PARAMETERS = (
    Parameter("thread", "Thread", help="M8, or with its pitch M8x1", example="M8"),
    Parameter(
        "property_class",
        "Property class",
        choices=tuple((name, name) for name in CLASSES),
        default="8.8",
        help="as stamped on the head; 8.8 unless given",
        example="8.8",
    ),
    Parameter(
        "surface",
        "The bolt is",
        choices=tuple((key, f"{words} (K {factor})") for key, (words, factor) in NUT_FACTORS.items()),
        default="zinc",
        help="gives the nut factor K",
        example="zinc",
    ),
    Parameter(
        "nut_factor_min",
        "Nut factor K, least",
        "1",
        most=Decimal(1),
        required=False,
        help="both limits, instead of the bolt’s condition",
        example="0.16",
    ),
    Parameter(
        "nut_factor_max", "Nut factor K, greatest", "1", most=Decimal(1), required=False, example="0.20"
    ),
    Parameter(
        "preload_percent",
        "Preload, part of the proof load",
        "%",
        most=Decimal(100),
        default="75",
        help="75 % unless given",
        example="75",
    ),
    Parameter(
        "torque",
        "A torque, to be turned back",
        "N.m",
        most=Decimal(10_000),
        required=False,
        unit_by="torque_unit",
        help="for the preload it gives",
        example="25",
    ),
)

UNITS = (
    UnitChoice("torque_unit", "Torque typed in", "N.m"),
    UnitChoice("show_torque", "Show torques in", "N.m", shows=True),
    UnitChoice("show_force", "Show forces in", "N", shows=True),
    UnitChoice("show_stress", "Show stresses in", "MPa", shows=True),
    UnitChoice("show_area", "Show the area in", "mm2", shows=True),
)
