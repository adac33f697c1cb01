"""Tightening torque as it is asked for and answered.

>>> told = TORQUE.answer({"thread": "M8", "property_class": "8.8", "show_torque": "[lbf_av].[ft_i]"})
>>> {figure.name: figure.text() for figure in told.figures}["torque"]
'25.48 N·m'
>>> told.steps[-1].numbers
'0.2 × 15925 N × 8 mm = 25.48 N·m'
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.answer import NO_SOURCE, Answer, Figure, Source, Step, Verdict
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.digits import shown
from catalog.rules.calculators.parameter import Given
from catalog.rules.calculators.sheets.torque_asked import PARAMETERS, UNITS
from catalog.rules.calculators.threads import Thread, stress_area, thread
from catalog.rules.calculators.tightening import (
    NUT_FACTORS,
    preload,
    proof_load,
    proof_stress,
    torque,
)
from shop.rules.errors import Refused

SHIGLEY = "Shigley’s Mechanical Engineering Design, 9th edition"
SOURCES = (
    Source(f"{SHIGLEY}, equation 8-27 and table 8-15", "T = K F d and the nut factors K"),
    Source("EN ISO 898-1, as printed at optimas.com and usefastener.com", "stress area and proof stress"),
    Source(
        f"From memory of {SHIGLEY}",
        "75 % of the proof load where the bolt is used again",
    ),
)
CAUTIONS = (
    "The maker’s tightening value comes first. Never tighten by a worked-out value where there is one.",
    "Not for bolts tightened by angle or to yield, nor for anything screwed into aluminium, plastic or a "
    "cylinder head, such as glow plugs and injectors: they seize, and their threads strip long before the "
    "bolt is at its load.",
    "Oil, grease or anti-seize on a thread that is meant dry overloads the bolt at the same torque.",
)


def _factors(given: Given) -> tuple[Decimal, Decimal, Decimal, str]:
    """Least, nominal and greatest nut factor, and in words which."""
    least, most = given.maybe("nut_factor_min"), given.maybe("nut_factor_max")
    words, of_surface = NUT_FACTORS[given.text("surface")]
    if least is None and most is None:
        return of_surface, of_surface, of_surface, words
    for name, value in (("nut_factor_min", least), ("nut_factor_max", most)):
        if value is None:
            raise Refused.single(name, "is missing", "give both limits of the nut factor, or neither")
    assert least is not None
    assert most is not None
    if least > most:
        raise Refused.single("nut_factor_max", "it is less than the least", f"give at least {least:f}")
    return least, (least + most) / 2, most, "as given"


def _work(given: Given) -> Answer:
    bolt = thread(given.text("thread"))
    grade = given.text("property_class")
    area = stress_area(bolt)
    proof = proof_load(area, grade, bolt.diameter)
    force = proof * given.quantity("preload_percent") / 100
    factors = _factors(given)
    least, middle, most = (torque(factor, force, bolt.diameter) for factor in factors[:3])
    ranged = factors[0] != factors[2]
    asked_force, asked_torque = given.text("show_force"), given.text("show_torque")
    figures = [
        Figure(
            "torque",
            "Tightening torque",
            "N.m",
            middle,
            least if ranged else None,
            most if ranged else None,
            asked_torque,
        ),
        Figure("preload", "Preload", "N", force, asked=asked_force),
        Figure("proof_load", "Proof load", "N", proof, asked=asked_force),
        Figure(
            "proof_stress",
            "Proof stress",
            "MPa",
            proof_stress(grade, bolt.diameter),
            asked=given.text("show_stress"),
        ),
        Figure("stress_area", "Stress area", "mm2", area, asked=given.text("show_area")),
    ]
    verdicts = [] if ranged else [_one_factor(factors[3], factors[1])]
    steps = _steps(bolt, grade, area, proof, force, factors[1], middle, given.quantity("preload_percent"))
    if given.has("torque"):
        figure, verdict, step = _inverse(given.quantity("torque"), factors, bolt, proof, asked_force)
        figures.append(figure)
        verdicts.append(verdict)
        steps.append(step)
    notes = (
        "Whether this pitch is made for this diameter is not checked.",
        "Rounded half up to four figures, at the end.",
    )
    return Answer(tuple(figures), tuple(verdicts), tuple(steps), SOURCES, CAUTIONS, notes)


def _one_factor(words: str, factor: Decimal) -> Verdict:
    reason = (
        f"Worked with one nut factor, {shown(factor)} ({words}). The clamping force at the same torque "
        f"may well be a quarter more or less ({NO_SOURCE}); give the least and the greatest nut factor to "
        "see the range."
    )
    return Verdict("torque", "Tightening torque", "without a range", reason)


def _inverse(
    moment: Decimal, factors: tuple[Decimal, Decimal, Decimal, str], bolt: Thread, proof: Decimal, asked: str
) -> tuple[Figure, Verdict, Step]:
    most, middle, least = (preload(moment, factor, bolt.diameter) for factor in factors[:3])
    ranged = least != most
    figure = Figure(
        "preload_at_torque",
        "Preload at your torque",
        "N",
        middle,
        least if ranged else None,
        most if ranged else None,
        asked,
    )
    percent = most / proof * 100
    told = f"{shown(percent, 3)} % of the proof load{' at most' if ranged else ''}"
    if percent > 100:
        verdict = "above the proof load", f"{told}: the bolt would stretch for good."
    else:
        verdict = "within the proof load", f"{told}."
    step = Step(
        "F = T / (K d)",
        f"{shown(moment)} N·m / ({shown(factors[1])} × {shown(bolt.diameter)} mm) = {shown(middle)} N",
    )
    return figure, Verdict("preload_at_torque", "Your torque", *verdict), step


def _steps(
    bolt: Thread,
    grade: str,
    area: Decimal,
    proof: Decimal,
    force: Decimal,
    factor: Decimal,
    moment: Decimal,
    percent: Decimal,
) -> list[Step]:
    stress = proof_stress(grade, bolt.diameter)
    d, pitch = shown(bolt.diameter), shown(bolt.pitch)
    return [
        Step(
            "As = π / 4 × ((d2 + d3) / 2)², d2 = d − 0.649519 P, d3 = d − 1.226869 P",
            f"{bolt}: d = {d} mm, P = {pitch} mm, As = {shown(area)} mm²",
        ),
        Step("proof load = As × proof stress", f"{shown(area)} mm² × {shown(stress)} MPa = {shown(proof)} N"),
        Step("F = part of the proof load", f"{shown(percent)} % × {shown(proof)} N = {shown(force)} N"),
        Step("T = K F d", f"{shown(factor)} × {shown(force)} N × {d} mm = {shown(moment)} N·m"),
    ]


TORQUE = Calculator(
    "tightening-torque",
    "Tightening torque",
    "From thread, property class and friction to a torque, and back to the clamping force; where the maker "
    "gives no value.",
    PARAMETERS,
    UNITS,
    ("torque", "preload", "proof_load", "proof_stress", "stress_area", "preload_at_torque"),
    _work,
    "18 lbf·ft",
)
