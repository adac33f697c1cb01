"""How hard to tighten a bolt: from thread, class and friction to torque, and back to the clamping force.

Most of a torque goes into friction; only what is left stretches the bolt. A dry M8 of class 8.8, tightened to
three quarters of its proof load, takes 25.5 N·m with a nut factor of 0.20; with oil on it (0.18) the same
clamping force comes at 22.9, and 25.5 would clamp a ninth harder.

>>> area = stress_area(thread("M8"))
>>> load = proof_load(area, "8.8", Decimal(8))
>>> f"{load:.0f}", f"{torque(Decimal('0.20'), Decimal('0.75') * load, Decimal(8)):.2f}"
('21233', '25.48')
>>> f"{preload(Decimal('25.48'), Decimal('0.20'), Decimal(8)):.0f}"
'15925'

T = K F d and the nut factors K: Shigley's Mechanical Engineering Design, 9th edition, equation 8-27 and table
8-15. Proof stresses: EN ISO 898-1, as printed at optimas.com (ISO metric proof loads). Preload of 75 % of the
proof load for connections that are opened again: the same book, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, localcontext

from catalog.rules.calculators.digits import WORKING, not_negative, positive
from catalog.rules.calculators.threads import stress_area, thread
from shop.rules.errors import Refused

__all__ = [
    "CLASSES",
    "NUT_FACTORS",
    "preload",
    "proof_load",
    "proof_stress",
    "stress_area",
    "thread",
    "torque",
]


@dataclass(frozen=True, slots=True)
class PropertyClass:
    """Proof stress in MPa up to and with M16, and above."""

    name: str
    to_m16: Decimal
    above_m16: Decimal


CLASSES: dict[str, PropertyClass] = {
    name: PropertyClass(name, Decimal(small), Decimal(large))
    for name, small, large in (("8.8", 580, 600), ("10.9", 830, 830), ("12.9", 970, 970))
}

# Shigley, table 8-15: the bolt's condition and its nut factor K.
NUT_FACTORS: dict[str, tuple[str, Decimal]] = {
    "zinc": ("zinc-plated", Decimal("0.20")),
    "black": ("black finish, not plated", Decimal("0.30")),
    "lubricated": ("lubricated", Decimal("0.18")),
    "cadmium": ("cadmium-plated", Decimal("0.16")),
    "anti-seize": ("with anti-seize", Decimal("0.12")),
}


def proof_stress(name: str, diameter: Decimal) -> Decimal:
    """MPa that a bolt of this class carries without setting; diameter in mm."""
    if name not in CLASSES:
        raise Refused.single(
            "property_class", f"{name!r} is not on record here", f"give one of {', '.join(CLASSES)}"
        )
    grade = CLASSES[name]
    return grade.to_m16 if positive(diameter, "diameter", "mm") <= 16 else grade.above_m16


def proof_load(area: Decimal, name: str, diameter: Decimal) -> Decimal:
    """Newtons: stress area (mm²) times proof stress."""
    with localcontext(WORKING):
        return positive(area, "area", "mm²") * proof_stress(name, diameter)


def torque(nut_factor: Decimal, force: Decimal, diameter: Decimal) -> Decimal:
    """N·m for a preload in N and a nominal diameter in mm: T = K F d."""
    positive(nut_factor, "nut_factor", "")
    not_negative(force, "force", "N")
    positive(diameter, "diameter", "mm")
    with localcontext(WORKING):
        return nut_factor * force * diameter / 1000


def preload(moment: Decimal, nut_factor: Decimal, diameter: Decimal) -> Decimal:
    """Newtons that a torque in N·m gives: F = T / (K d), diameter in mm."""
    not_negative(moment, "torque", "N·m")
    positive(nut_factor, "nut_factor", "")
    positive(diameter, "diameter", "mm")
    with localcontext(WORKING):
        return moment * 1000 / (nut_factor * diameter)
