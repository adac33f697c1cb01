"""The O-ring size look-up as it is asked for and answered: a dash number, or a measured ring.

>>> [figure.text("[in_i]") for figure in SIZES_SHEET.answer({"dash": "-429"}).figures]
['4.975 in', '5.525 in', '0.269 to 0.281 in, nominal 0.275 in']
>>> [row.key for row in SIZES_SHEET.answer({"inside": "18.7", "cross_section": "3.5"}).rows]
['-210', '-211', '-214', '-222', '-116']
>>> SIZES_SHEET.answer({"dash": "309"}).verdicts[0].outcome
'not on record here'
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.answer import Answer, Figure, Row, Source, Step, Verdict
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.digits import shown
from catalog.rules.calculators.oring_series import SERIES_SOURCE
from catalog.rules.calculators.oring_sizes import SIZES, Near, Size, dash_number, nearest
from catalog.rules.calculators.parameter import Given, Parameter, UnitChoice
from shop.rules.errors import Refused

LENGTH, SHOW = "length_unit", "show_length"
STANDARD = "see the standard (SAE AS568 or ISO 3601-1)"
NOTES = (
    "Millimetres are inches × 25.4; ISO 3601-1 prints them to a hundredth.",
    f"On record are {len(SIZES)} sizes whose figures were checked against a publication; the tolerance of "
    "the inside diameter is not on record. Compare with the standard before ordering.",
)


def _work(given: Given) -> Answer:
    measured = [name for name in ("inside", "cross_section") if given.has(name)]
    if given.has("dash") and measured:
        raise Refused.single(
            measured[0], "both a dash number and a measured ring are given", "give one of the two"
        )
    if given.has("dash"):
        return _of_dash(dash_number(given.text("dash")), given.text(SHOW))
    if not measured:
        raise Refused.single("dash", "is missing", "give a dash number such as 210, or a measured ring below")
    for name in ("inside", "cross_section"):
        if name not in measured:
            raise Refused.single(name, "is missing", "give both the inside diameter and the cross-section")
    return _of_ring(given.quantity("inside"), given.quantity("cross_section"), given.text(SHOW))


def _of_dash(dash: str, asked: str) -> Answer:
    found = SIZES.get(dash)
    if found is None:
        alike = [f"-{other}" for other in SIZES if other[0] == dash[0]]
        listed = f" On record of this series: {', '.join(alike)}." if alike else ""
        reason = f"-{dash} is not on record here; {STANDARD}.{listed}"
        return Answer((), (Verdict("dash", "Dash number", "not on record here", reason),), (), (), (), NOTES)
    inch = found.series.inches
    return Answer(
        _figures(found, asked),
        (Verdict("dash", "Dash number", "on record", f"-{dash} of AS568, the same ring as in ISO 3601-1."),),
        (
            Step(
                "OD = ID + 2 × cross-section",
                f"{found.inside_inches} + 2 × {inch} = {found.outside_inches} in",
            ),
            Step("mm = in × 25.4", f"{found.inside_inches} × 25.4 = {shown(found.inside, 6)} mm"),
        ),
        (Source(found.source, "inside diameter"), Source(SERIES_SOURCE, "cross-section and its tolerance")),
        (),
        NOTES,
    )


def _figures(found: Size, asked: str) -> tuple[Figure, ...]:
    series = found.series
    section = Figure(
        "cross_section",
        "Cross-section",
        "mm",
        series.cross_section,
        series.cross_section - series.tolerance,
        series.cross_section + series.tolerance,
        asked,
    )
    return (
        Figure("inside", "Inside diameter", "mm", found.inside, asked=asked, digits=5),
        Figure("outside", "Outside diameter", "mm", found.outside, asked=asked, digits=5),
        section,
    )


def _of_ring(inside: Decimal, cross_section: Decimal, asked: str) -> Answer:
    near = nearest(inside, cross_section)
    agrees = near[0].section_agrees
    first = near[0].size
    series = first.series
    told = f"{shown(cross_section)} mm against {shown(series.cross_section)} ± {shown(series.tolerance)} mm"
    if agrees:
        outcome, why = f"series {first.dash[0]}xx", f"The cross-section agrees with this series: {told}."
    else:
        why = f"The nearest series does not agree: {told}. The ring is worn or of another standard."
        outcome = "no series on record agrees"
    return Answer(
        (),
        (Verdict("cross_section", "Cross-section", outcome, why),),
        (Step("difference = measured − standard", f"for -{first.dash}: {_told(near[0])}"),),
        (
            Source("; ".join(dict.fromkeys(one.size.source for one in near)), "inside diameters"),
            Source(SERIES_SOURCE, "cross-sections and their tolerance"),
        ),
        (),
        (*NOTES, "Sorted by cross-section first; the ring may well be a size that is not on record here."),
        tuple(_row(one, asked) for one in near),
    )


def _told(near: Near) -> str:
    return f"ID {shown(near.inside_more, 3)} mm, cross-section {shown(near.section_more, 3)} mm"


def _row(near: Near, asked: str) -> Row:
    size = near.size
    return Row(
        f"-{size.dash}",
        "cross-section agrees" if near.section_agrees else "another cross-section",
        (
            Figure("inside", "Inside diameter", "mm", size.inside, asked=asked, digits=5),
            Figure("inside_difference", "ID measured more by", "mm", near.inside_more, asked=asked, digits=3),
            Figure("cross_section", "Cross-section", "mm", size.series.cross_section, asked=asked),
            Figure(
                "cross_section_difference",
                "Cross-section measured more by",
                "mm",
                near.section_more,
                asked=asked,
                digits=3,
            ),
        ),
    )


SIZES_SHEET = Calculator(
    "o-ring-size",
    "O-ring size",
    "From a dash number of AS568 (ISO 3601-1) to the ring’s dimensions, or from a measured ring to the "
    "nearest numbers.",
    (
        Parameter(
            "dash", "Dash number", required=False, help="its three figures, such as 210", example="210"
        ),
        Parameter(
            "inside",
            "Measured inside diameter",
            "mm",
            most=Decimal(5000),
            required=False,
            unit_by=LENGTH,
            help="instead of a dash number",
        ),
        Parameter(
            "cross_section",
            "Measured cross-section",
            "mm",
            most=Decimal(50),
            required=False,
            unit_by=LENGTH,
            help="with the inside diameter",
        ),
    ),
    (
        UnitChoice(LENGTH, "Measured in", "mm"),
        UnitChoice(SHOW, "Show lengths in", "[in_i]", shows=True),
    ),
    ("inside", "outside", "cross_section"),
    _work,
    "0.139 in",
    ("inside", "inside_difference", "cross_section", "cross_section_difference"),
    "The nearest sizes on record",
    "Dash number",
)
