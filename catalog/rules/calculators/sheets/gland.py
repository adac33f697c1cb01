"""The O-ring gland as it is asked for and answered.

>>> told = GLAND.answer({"length_unit": "[in_i]", "cross_section": "0.139", "tolerance": "0.004",
...     "depth_min": "0.110", "depth_max": "0.116", "width_min": "0.190", "width_max": "0.200"})
>>> [figure.text() for figure in told.figures]
['14.1 to 23.1 %, nominal 18.7 %', '61.7 to 76.8 %, nominal 68.9 %']
>>> [verdict.outcome for verdict in told.verdicts]
['within', 'within']
"""

from __future__ import annotations

from catalog.rules.calculators.answer import Answer, Figure, Source, Step
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.digits import ZERO, shown
from catalog.rules.calculators.oring_gland import Gland, Range, Ring, fill, squeeze, stretch
from catalog.rules.calculators.oring_series import BAND_SOURCE, SERIES_SOURCE
from catalog.rules.calculators.oring_verdicts import (
    FILL_SOURCE,
    STRETCH_SOURCE,
    Seal,
    judge_fill,
    judge_squeeze,
    judge_stretch,
)
from catalog.rules.calculators.parameter import Given
from catalog.rules.calculators.sheets.gland_asked import PARAMETERS, UNITS
from shop.rules.errors import Refused


def _work(given: Given) -> Answer:
    ring = Ring(given.quantity("cross_section"), given.maybe("tolerance") or ZERO)
    gland = Gland(*(given.quantity(name) for name in ("depth_min", "depth_max", "width_min", "width_max")))
    seal: Seal = "face" if given.text("seal") == "face" else "radial"
    squeezed, filled = squeeze(ring, gland), fill(ring, gland)
    figures = [_figure("squeeze", "Squeeze", squeezed), _figure("fill", "Gland fill", filled)]
    verdicts = [judge_squeeze(squeezed, ring.cross_section, seal), judge_fill(filled)]
    steps = [_squeeze_step(ring, gland), _fill_step(ring, gland)]
    sources = [
        Source(BAND_SOURCE, "squeeze formula and recommended squeeze by cross-section"),
        Source(SERIES_SOURCE, "which cross-sections the bands are for"),
        Source(FILL_SOURCE, "gland fill up to 85 %"),
    ]
    widened = _stretch(given)
    if widened is not None:
        figures.append(_figure("stretch", "Stretch", widened))
        verdicts.append(judge_stretch(widened))
        inside, around = shown(given.quantity("ring_id"), 5), shown(given.quantity("groove_diameter"), 5)
        steps.append(
            Step("stretch = (groove diameter − ring ID) / ring ID", f"({around} − {inside}) / {inside} mm")
        )
        sources.append(Source(STRETCH_SOURCE, "stretch up to 5 %"))
    return Answer(
        tuple(figures),
        tuple(verdicts),
        tuple(steps),
        tuple(sources),
        cautions=(
            "An O-ring holds back hot or pressurised oil, fuel, coolant or gas: the maker’s gland "
            "dimensions, ring material and hardness come first. Release the pressure and "
            "let it cool before opening.",
        ),
        notes=(
            "Worked with the free ring: stretch makes it thinner, swelling and heat make it thicker.",
            "Rounded half up to three figures, at the end.",
        ),
    )


def _stretch(given: Given) -> Range | None:
    if not given.has("ring_id") and not given.has("groove_diameter"):
        return None
    for name, other in (("ring_id", "groove_diameter"), ("groove_diameter", "ring_id")):
        if not given.has(name):
            raise Refused.single(name, "is missing", f"give it for the stretch, or leave {other} out")
    return stretch(
        given.quantity("ring_id"),
        given.quantity("groove_diameter"),
        given.maybe("ring_id_tolerance") or ZERO,
        given.maybe("groove_tolerance") or ZERO,
    )


def _figure(name: str, label: str, values: Range) -> Figure:
    least, nominal, most = values
    return Figure(name, label, "%", nominal, least, most, digits=3)


def _squeeze_step(ring: Ring, gland: Gland) -> Step:
    thin, _, thick = (shown(value, 5) for value in ring.sections)
    shallow, deep = shown(gland.depth_min, 5), shown(gland.depth_max, 5)
    return Step(
        "squeeze = (cross-section − gland depth) / cross-section",
        f"least ({thin} − {deep}) / {thin}, most ({thick} − {shallow}) / {thick} mm",
    )


def _fill_step(ring: Ring, gland: Gland) -> Step:
    thin, _, thick = (shown(value, 5) for value in ring.sections)
    roomy = f"({shown(gland.depth_max, 5)} × {shown(gland.width_max, 5)})"
    tight = f"({shown(gland.depth_min, 5)} × {shown(gland.width_min, 5)})"
    return Step(
        "fill = (π / 4 × cross-section²) / (gland depth × gland width)",
        f"least 0.7854 × {thin}² / {roomy}, most 0.7854 × {thick}² / {tight} mm²",
    )


GLAND = Calculator(
    "o-ring-gland",
    "O-ring gland",
    "How far an O-ring is squeezed, how full its gland is and how far it is stretched, against what is "
    "recommended.",
    PARAMETERS,
    UNITS,
    ("squeeze", "fill", "stretch"),
    _work,
    "0.139 in",
)
