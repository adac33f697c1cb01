"""Is the squeeze, the fill, the stretch what is recommended? In words, with the reason.

A band is compared with the whole range the tolerances give, not with the nominal alone. The published squeeze
bands are whole percents, so squeeze is rounded to whole percents before it is compared; otherwise the table's
own gland (17.9 %, printed 18) would fall below the table's own band. Where no band is known for a
cross-section, that is the answer.

>>> judge_squeeze((Decimal("17.9"), Decimal("25"), Decimal("31.5")), Decimal("1.78"), "radial").outcome
'within'
>>> judge_squeeze((Decimal("17.4"), Decimal("25"), Decimal("31.5")), Decimal("1.78"), "radial").outcome
'below the band'
>>> judge_squeeze((Decimal("17"), Decimal("20"), Decimal("22")), Decimal("3"), "radial").outcome
'no band known for this cross-section'
>>> judge_fill((Decimal("60"), Decimal("70"), Decimal("85.1"))).outcome
'above the guidance'
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from catalog.rules.calculators.answer import Verdict
from catalog.rules.calculators.digits import shown
from catalog.rules.calculators.oring_gland import Range
from catalog.rules.calculators.oring_series import series_of
from shop.rules.rounding import round_half_up

Seal = Literal["radial", "face"]
MOST_FILL = Decimal(85)
FILL_SOURCE = "Parker O-Ring Handbook ORD 5700, as quoted at kaspercalc.com"
MOST_STRETCH = Decimal(5)
STRETCH_SOURCE = "Apple Rubber, Seal Design Guide, O-ring installation: not above 5 % in the application"


def judge_squeeze(squeeze: Range, cross_section: Decimal, seal: Seal) -> Verdict:
    """Compare squeeze (percent) with the band for this cross-section (mm) and kind of static seal."""
    about, label = "squeeze", "Squeeze"
    least, _, most = squeeze
    span = _span(least, most)
    if least <= 0:
        loose = "at its thinnest in the deepest gland the ring is not squeezed at all, so it cannot seal"
        return Verdict(about, label, "below the band", f"{span}: {loose}.")
    series = series_of(cross_section)
    if series is None:
        why = f"{shown(cross_section)} mm is none of the AS568 cross-sections, for which bands are published."
        return Verdict(about, label, "no band known for this cross-section", f"{span}; {why}")
    low, high = series.radial if seal == "radial" else series.face
    words = "radial static seal" if seal == "radial" else "face seal"
    band = f"{low} to {high} % for a {words} of {series.inches} in ({shown(series.cross_section, 3)} mm)"
    below, above = round_half_up(least, 0) < low, round_half_up(most, 0) > high
    if below and above:
        outcome, why = "below and above the band", "its tolerances together are wider than the band"
    elif below:
        outcome, why = "below the band", "the thinnest ring in the deepest gland is squeezed too little"
    elif above:
        outcome, why = "above the band", "the thickest ring in the shallowest gland is squeezed too much"
    else:
        outcome, why = "within", "compared in whole percents, as the table is printed"
    return Verdict(about, label, outcome, f"{span}; the band is {band}: {why}.")


def judge_fill(fill: Range) -> Verdict:
    """Compare the greatest fill (percent) with the guidance of 85 %."""
    most = fill[2]
    told = f"{shown(most, 3)} % at most; the guidance is up to {MOST_FILL} %"
    if most > 100:
        return Verdict(
            "fill", "Gland fill", "above the guidance", f"{told}: the thickest ring does not go in."
        )
    if most > MOST_FILL:
        return Verdict("fill", "Gland fill", "above the guidance", f"{told}: too little room to swell.")
    return Verdict("fill", "Gland fill", "within", f"{told}.")


def judge_stretch(stretch: Range) -> Verdict:
    """Compare stretch (percent) with the guidance of 5 %; below zero the ring is loose."""
    least, _, most = stretch
    span = f"{_span(least, most)}; the guidance is up to {MOST_STRETCH} %"
    if most > MOST_STRETCH:
        return Verdict("stretch", "Stretch", "above the guidance", f"{span}: the ring ages and thins sooner.")
    if least < 0:
        loose = "at its largest the ring is loose on the groove and may be pinched when fitted"
        return Verdict("stretch", "Stretch", "below zero", f"{span}: {loose}.")
    return Verdict("stretch", "Stretch", "within", f"{span}.")


def _span(least: Decimal, most: Decimal) -> str:
    return f"{shown(least, 3)} %" if least == most else f"{shown(least, 3)} to {shown(most, 3)} %"
