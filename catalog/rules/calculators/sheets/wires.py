"""Wire voltage drop as it is asked for and answered.

>>> told = WIRE.answer({"gauge": "12", "length": "3", "current": "20", "supply": "12"})
>>> {figure.name: figure.text() for figure in told.figures}["drop"]
'0.6253 V'
>>> told.steps[-1].numbers
'20 A × 0.03126 Ω = 0.6253 V, of 12 V'
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.answer import Answer, Figure, Source, Step, Verdict
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.digits import shown
from catalog.rules.calculators.parameter import Given
from catalog.rules.calculators.sheets.wires_asked import PARAMETERS, UNITS
from catalog.rules.calculators.wire import (
    ALPHA,
    RHO,
    Drop,
    awg_area,
    awg_diameter,
    drop,
    gauge_number,
    resistance,
)
from shop.rules.errors import Refused

SOURCES = (
    Source(
        "International Annealed Copper Standard, as in Industrial Power Engineering and Applications "
        "Handbook, page 970",
        "copper: 58 m per ohm and mm², 0.00393 per kelvin at 20 °C",
    ),
    Source("Ohm’s law", "voltage drop"),
)
GAUGE_SOURCE = Source(
    "ASTM B258; its ohms per 1000 ft agree with HyperPhysics’ wire gauge table to 0.02 %",
    "diameter of AWG sizes",
)


def _work(given: Given) -> Answer:
    if given.has("gauge") == given.has("area"):
        both = given.has("gauge")
        raise Refused.single(
            "area" if both else "gauge",
            "both the gauge and the area are given" if both else "is missing",
            "give one of the two" if both else "give the AWG size, such as 12, or the area in mm²",
        )
    number = gauge_number(given.text("gauge")) if given.has("gauge") else None
    area = awg_area(number) if number is not None else given.quantity("area")
    one_way = given.quantity("length")
    length = one_way if given.text("length_is") == "loop" else 2 * one_way
    warmth, amperes = given.quantity("temperature"), given.quantity("current")
    supply = given.quantity("supply")
    lost = drop(area, length, warmth, amperes, supply)
    return Answer(
        _figures(given, number, area, lost, resistance(area, Decimal(1000), warmth)),
        (_verdict(lost, supply),),
        _steps(given, number, area, length, lost),
        (GAUGE_SOURCE, *SOURCES) if number is not None else SOURCES,
        cautions=(
            "This is the voltage lost, not the current a wire may carry: too thin a wire or too large a fuse "
            "catches fire. Follow the maker’s wire sizes and fuses; disconnect the battery before working.",
        ),
        notes=(
            "Contacts, crimps, corrosion and broken strands come on top. Stranded wire counts by its copper.",
            "Rounded half up to four figures, at the end.",
        ),
    )


def _figures(
    given: Given, number: int | None, area: Decimal, lost: Drop, per_km: Decimal
) -> tuple[Figure, ...]:
    volts, supply = lost.volts, given.quantity("supply")
    figures = [
        Figure("area", "Copper area", "mm2", area, asked=given.text("show_area")),
        Figure(
            "resistance_per_length",
            "Resistance per length",
            "Ohm/km",
            per_km,
            asked=given.text("show_resistance_per_length"),
        ),
        Figure(
            "resistance",
            "Resistance, there and back",
            "Ohm",
            lost.resistance,
            asked=given.text("show_resistance"),
        ),
        Figure("drop", "Voltage drop", "V", volts, asked=given.text("show_voltage")),
        Figure("percent", "Of the supply", "%", lost.percent),
        Figure(
            "left",
            "Left at the consumer",
            "V",
            max(supply - volts, Decimal(0)),
            asked=given.text("show_voltage"),
        ),
    ]
    if number is not None:
        diameter = awg_diameter(number)
        figures.insert(
            0, Figure("diameter", "Diameter, solid", "mm", diameter, asked=given.text("show_diameter"))
        )
    return tuple(figures)


def _verdict(lost: Drop, supply: Decimal) -> Verdict:
    if lost.volts >= supply:
        why = f"{shown(lost.volts)} V would be lost of {shown(supply)} V: this current cannot flow."
        return Verdict("drop", "Voltage drop", "not possible", why)
    left = shown(supply - lost.volts)
    why = f"{shown(lost.volts)} V of {shown(supply)} V is lost in the wire; {left} V is left."
    return Verdict("drop", "Voltage drop", f"{shown(lost.percent, 3)} % of the supply", why)


def _steps(given: Given, number: int | None, area: Decimal, length: Decimal, lost: Drop) -> tuple[Step, ...]:
    warmth, amperes = given.quantity("temperature"), given.quantity("current")
    steps = [
        Step(
            "R = ρ × length / area × (1 + α × (T − 20 °C))",
            f"{RHO} × {shown(length, 6)} m / {shown(area)} mm² × (1 + {ALPHA} × ({shown(warmth, 6)} − 20)) "
            f"= {shown(lost.resistance)} Ω",
        ),
        Step(
            "drop = current × R",
            f"{shown(amperes, 6)} A × {shown(lost.resistance)} Ω = {shown(lost.volts)} V, "
            f"of {shown(given.quantity('supply'), 6)} V",
        ),
    ]
    if given.text("length_is") != "loop":
        steps.insert(0, Step("length = 2 × one way", f"2 × {shown(length / 2, 6)} = {shown(length, 6)} m"))
    if number is not None:
        inches = (
            f"0.005 × 92^((36 − {number}) / 39) in"
            if number >= 0
            else f"0.005 × 92^((36 + {-number}) / 39) in"
        )
        told = f"{inches} = {shown(awg_diameter(number))} mm, {shown(area)} mm²"
        steps.insert(0, Step("diameter = 0.005 × 92^((36 − n) / 39) in; area = π / 4 × diameter²", told))
    return tuple(steps)


WIRE = Calculator(
    "wire-voltage-drop",
    "Wire voltage drop",
    "The resistance of a copper wire and the voltage it takes away from what it feeds.",
    PARAMETERS,
    UNITS,
    ("diameter", "area", "resistance_per_length", "resistance", "drop", "percent", "left"),
    _work,
    "10 ft",
)
