"""Does this O-ring suit its gland: how much it is squeezed, how full the gland is, how far it is stretched.

Squeeze is what the gland takes away from the cross-section, in percent of it: a 2 mm ring in a 1.5 mm gland
is squeezed by 25 %. It is least with the thinnest ring in the deepest gland and most the other way round.
Fill is the ring's area over the gland's area; there has to be room left for swelling and heat. Stretch is how
far the ring's inside diameter is widened by what it sits on; below zero the ring is loose.

>>> ring = Ring(Decimal("3.53"), Decimal("0.10"))
>>> gland = Gland(Decimal("2.79"), Decimal("2.95"), Decimal("4.83"), Decimal("5.08"))
>>> [f"{value:.1f}" for value in squeeze(ring, gland)], [f"{value:.1f}" for value in fill(ring, gland)]
(['14.0', '18.7', '23.1'], ['61.7', '68.8', '76.8'])
>>> [f"{value:.1f}" for value in stretch(Decimal("18.64"), Decimal("19.00"))]
['1.9', '1.9', '1.9']

All lengths in mm, all results (minimum, nominal, maximum) in percent. Squeeze, fill and stretch are worked
with the cross-section of the free ring; a stretched ring is thinner. Formulas: Apple Rubber, "Seal Types &
Gland Design" (squeeze); Parker, "How to design an O-ring gland" (stretch, fill as area over area).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext

from catalog.rules.calculators.digits import PI, WORKING, ZERO, not_negative, positive
from shop.rules.errors import Refused

HUNDRED = Decimal(100)
Range = tuple[Decimal, Decimal, Decimal]


@dataclass(frozen=True, slots=True)
class Ring:
    """A free ring: cross-section and its tolerance (plus or minus), mm."""

    cross_section: Decimal
    tolerance: Decimal = ZERO

    def __post_init__(self) -> None:
        positive(self.cross_section, "cross_section", "mm")
        not_negative(self.tolerance, "tolerance", "mm")
        if self.tolerance >= self.cross_section:
            raise Refused.single(
                "tolerance",
                f"{self.tolerance:f} mm is as much as the cross-section itself",
                "give the plus-or-minus of the cross-section, such as 0.1 mm",
            )

    @property
    def sections(self) -> Range:
        """Thinnest, nominal, thickest, mm."""
        return (
            self.cross_section - self.tolerance,
            self.cross_section,
            self.cross_section + self.tolerance,
        )


@dataclass(frozen=True, slots=True)
class Gland:
    """A rectangular gland: least and greatest depth (clearance included) and width, mm."""

    depth_min: Decimal
    depth_max: Decimal
    width_min: Decimal
    width_max: Decimal

    def __post_init__(self) -> None:
        for side in ("depth", "width"):
            least, most = getattr(self, f"{side}_min"), getattr(self, f"{side}_max")
            positive(least, f"{side}_min", "mm")
            positive(most, f"{side}_max", "mm")
            if least > most:
                raise Refused.single(
                    f"{side}_max",
                    f"it is less than {side}_min",
                    f"give at least {least:f} mm, or swap the two",
                )


def squeeze(ring: Ring, gland: Gland) -> Range:
    """Percent of the cross-section taken away: (CS - depth) / CS. Zero or less: the ring does not touch."""
    thin, nominal, thick = ring.sections
    with localcontext(WORKING):
        middle = (gland.depth_min + gland.depth_max) / 2
        pairs = ((thin, gland.depth_max), (nominal, middle), (thick, gland.depth_min))
        least, mean, most = ((section - depth) / section * HUNDRED for section, depth in pairs)
        return least, mean, most


def fill(ring: Ring, gland: Gland) -> Range:
    """Percent of the gland's area that the ring takes: (pi/4 CS²) / (depth x width).

    Refused where the ring cannot go in: thinner than it ever is it would still be wider than the gland, or
    its area is more than the gland's.
    """
    thin, nominal, thick = ring.sections
    if thin > gland.width_max:
        raise _too_large(
            f"even the thinnest, {thin:f} mm, is wider than the widest gland, {gland.width_max:f} mm"
        )
    with localcontext(WORKING):
        middle = (gland.depth_min + gland.depth_max) * (gland.width_min + gland.width_max) / 4
        areas = (gland.depth_max * gland.width_max, middle, gland.depth_min * gland.width_min)
        least, mean, most = (
            PI / 4 * section**2 / area * HUNDRED
            for section, area in zip((thin, nominal, thick), areas, strict=True)
        )
    if least > HUNDRED:
        raise _too_large("even the thinnest has more area than the roomiest gland")
    return least, mean, most


def stretch(
    ring_id: Decimal, groove_diameter: Decimal, id_tolerance: Decimal = ZERO, groove_tolerance: Decimal = ZERO
) -> Range:
    """Percent by which the inside diameter is widened: (groove - ID) / ID. Below zero the ring is loose."""
    positive(ring_id, "ring_id", "mm")
    positive(groove_diameter, "groove_diameter", "mm")
    positive(
        ring_id - not_negative(id_tolerance, "ring_id_tolerance", "mm"), "ring_id_tolerance", "mm of ID left"
    )
    positive(
        groove_diameter - not_negative(groove_tolerance, "groove_tolerance", "mm"),
        "groove_tolerance",
        "mm of diameter left",
    )
    with localcontext(WORKING):
        least, mean, most = (
            (around - inside) / inside * HUNDRED
            for inside, around in (
                (ring_id + id_tolerance, groove_diameter - groove_tolerance),
                (ring_id, groove_diameter),
                (ring_id - id_tolerance, groove_diameter + groove_tolerance),
            )
        )
        return least, mean, most


def _too_large(what: str) -> Refused:
    return Refused.single(
        "cross_section",
        f"the ring is larger than the gland: {what}",
        "check the cross-section, depth and width",
    )
