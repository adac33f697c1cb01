"""The five cross-sections of AS568 O-rings, with their tolerance, and the squeeze that suits each.

A ring of 0.139 ± 0.004 inch (3.53 mm) in a radial static gland is squeezed by 14 to 23 % when the gland is as
the published table has it, and by 20 to 30 % under a flange. A ring belongs to a series when its
cross-section differs from the series' by no more than the series' tolerance; for any other ring no band is
known here, and none is made up.

>>> series_of(Decimal("3.53")).radial, series_of(Decimal("3.53")).face
((Decimal('14'), Decimal('23')), (Decimal('20'), Decimal('30')))
>>> series_of(Decimal("3.0")) is None
True

Sources: cross-sections and tolerances AS568 as printed at utilitiesbunker.com, "O-ring groove dimensions";
bands Apple Rubber, "Seal Types & Gland Design", O-ring gland design for static seals, table B (radial and
axial). The table prints whole percents, from the tolerances of ring and gland together.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from catalog.rules.calculators.digits import WORKING

MM_PER_INCH = Decimal("25.4")
SERIES_SOURCE = "SAE AS568 cross-sections, as printed at utilitiesbunker.com (O-ring groove dimensions)"
BAND_SOURCE = "Apple Rubber, Seal Types & Gland Design: O-ring gland design for static seals"

Band = tuple[Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Series:
    """One series: its first figure, cross-section and tolerance in inch, squeeze bands in percent."""

    first: str
    inches: Decimal
    tolerance_inches: Decimal
    radial: Band
    face: Band

    @property
    def cross_section(self) -> Decimal:
        """In mm: inch x 25.4, exactly."""
        return WORKING.multiply(self.inches, MM_PER_INCH)

    @property
    def tolerance(self) -> Decimal:
        """In mm: inch x 25.4, exactly."""
        return WORKING.multiply(self.tolerance_inches, MM_PER_INCH)


def _series(first: str, inches: str, tolerance: str, radial: str, face: str) -> Series:
    def band(text: str) -> Band:
        least, most = text.split("-")
        return Decimal(least), Decimal(most)

    return Series(first, Decimal(inches), Decimal(tolerance), band(radial), band(face))


SERIES: tuple[Series, ...] = (
    _series("0", ".070", ".003", "18-32", "19-33"),
    _series("1", ".103", ".003", "14-25", "19-29"),
    _series("2", ".139", ".004", "14-23", "20-30"),
    _series("3", ".210", ".005", "14-21", "20-28"),
    _series("4", ".275", ".006", "13-20", "20-27"),
)


def series_of(cross_section: Decimal) -> Series | None:
    """The series in whose tolerance this cross-section (mm) lies, limits included; None where none."""
    near = (one for one in SERIES if abs(cross_section - one.cross_section) <= one.tolerance)
    return next(near, None)
