"""Which O-ring is it: from the dash number to its size, and from a measured ring to the nearest dash numbers.

Dash 210 of AS568 has an inside diameter of 0.734 inch and, being of the 200 series, a cross-section of
0.139 inch: outside it measures 0.734 + 2 x 0.139 = 1.012 inch. ISO 3601-1 gives the same rings in
millimetres, which are the inches times 25.4 (it prints them to a hundredth).

Only sizes whose figures were checked against a publication are on record, and for these only what was
checked: the tolerance of the inside diameter is not. For every other number the answer is "not on record
here", never a guess.

>>> ring = size("-210")
>>> ring.inside_inches, ring.outside_inches, ring.inside
(Decimal('0.734'), Decimal('1.012'), Decimal('18.6436'))
>>> [near.size.dash for near in nearest(Decimal("18.7"), Decimal("3.5"))][:2]
['210', '211']
>>> size("309")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: dash: -309 is not on record here; see the standard (SAE AS568 or ISO 3601-1)
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from catalog.rules.calculators.digits import WORKING, positive
from catalog.rules.calculators.oring_series import MM_PER_INCH, SERIES, Series
from shop.rules.errors import Refused

# Inside diameters in inch, with the publication each was read in.
NAVY = "US Navy training manual 14105, page 118"
SIZES_SHEET = "unitcheatsheet.com, O-ring sizes"
METRIC_LIST = "a list of AS568 rings in mm in a public repository (STANDARD_ORING_SIZES), divided by 25.4"
_INSIDE: dict[str, tuple[str, str]] = {
    "006": (".114", METRIC_LIST),
    "008": (".176", SIZES_SHEET),
    "010": (".239", SIZES_SHEET),
    "011": (".301", METRIC_LIST),
    "012": (".364", SIZES_SHEET),
    "013": (".426", METRIC_LIST),
    "014": (".489", SIZES_SHEET),
    "015": (".551", METRIC_LIST),
    "016": (".614", SIZES_SHEET),
    "020": (".864", SIZES_SHEET),
    "110": (".362", SIZES_SHEET),
    "111": (".424", METRIC_LIST),
    "112": (".487", METRIC_LIST),
    "116": (".737", METRIC_LIST),
    "210": (".734", SIZES_SHEET),
    "211": (".796", METRIC_LIST),
    "214": (".984", SIZES_SHEET),
    "222": ("1.484", SIZES_SHEET),
    "429": ("4.975", NAVY),
}


@dataclass(frozen=True, slots=True)
class Size:
    """One dash number: inside diameter in inch and mm, its series, and where the figure was read."""

    dash: str
    inside_inches: Decimal
    series: Series
    source: str

    @property
    def outside_inches(self) -> Decimal:
        """Inside diameter and twice the cross-section."""
        return self.inside_inches + 2 * self.series.inches

    @property
    def inside(self) -> Decimal:
        """In mm: inch x 25.4, exactly."""
        return WORKING.multiply(self.inside_inches, MM_PER_INCH)

    @property
    def outside(self) -> Decimal:
        """In mm: inch x 25.4, exactly."""
        return WORKING.multiply(self.outside_inches, MM_PER_INCH)


SIZES: dict[str, Size] = {
    dash: Size(dash, Decimal(inches), next(one for one in SERIES if one.first == dash[0]), source)
    for dash, (inches, source) in _INSIDE.items()
}


@dataclass(frozen=True, slots=True)
class Near:
    """A size that comes near, and what the measured ring has more than it (mm; below zero: less)."""

    size: Size
    inside_more: Decimal
    section_more: Decimal

    @property
    def section_agrees(self) -> bool:
        """The measured cross-section lies within the series' tolerance, its limits included."""
        return abs(self.section_more) <= self.size.series.tolerance


def dash_number(text: str) -> str:
    """The three figures of a dash number written "-210", "210" or "AS568-210"; Refused for anything else."""
    figures = text.strip().upper().removeprefix("AS568").removeprefix("A").strip().removeprefix("-").strip()
    if len(figures) != 3 or not (figures.isascii() and figures.isdigit()):
        raise Refused.single(
            "dash", f"{text!r} is not a dash number", "give its three figures, such as 010 or 210"
        )
    return figures


def size(text: str) -> Size:
    """The size with this dash number; Refused where it is not on record here."""
    dash = dash_number(text)
    if dash not in SIZES:
        raise Refused.single(
            "dash", f"-{dash} is not on record here", "see the standard (SAE AS568 or ISO 3601-1)"
        )
    return SIZES[dash]


def nearest(inside: Decimal, cross_section: Decimal, most: int = 5) -> list[Near]:
    """The sizes on record nearest to a measured ring (mm): first by cross-section, then by inside diameter.

    A ring is sold by both, and one with another cross-section does not serve however well its inside
    diameter agrees. A used ring is often flattened and measures thinner than it was.
    """
    positive(inside, "inside", "mm")
    positive(cross_section, "cross_section", "mm")
    found = [
        Near(one, inside - one.inside, cross_section - one.series.cross_section) for one in SIZES.values()
    ]
    found.sort(key=lambda near: (abs(near.section_more), abs(near.inside_more), near.size.dash))
    return found[:most]
