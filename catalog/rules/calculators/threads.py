"""The thread of a bolt: what "M8" and "M8x1" mean, and the area that carries the load.

A thread is weaker than its outside diameter says: an M8 carries as much as a plain bar of 36.6 mm². A fine
thread carries a little more. Without a pitch the coarse one is meant, where it is on record here.

>>> stress_area(thread("M8")).quantize(Decimal("0.01")), stress_area(thread("M8x1")).quantize(Decimal("0.01"))
(Decimal('36.61'), Decimal('39.17'))
>>> str(thread("m10 × 1,25"))
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: thread: 'm10 × 1,25' has a comma in it; write a point: M10x1.25

Stress area after ISO 898-1: pi/4 ((d2 + d3) / 2)², with d2 = d - 0.649519 P and d3 = d - 1.226869 P from the
basic profile (ISO 68-1, ISO 724).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, localcontext

from catalog.rules.calculators.digits import PI, WORKING
from shop.rules.errors import Refused

# Coarse pitches whose stress areas are checked against EN ISO 898-1.
COARSE: dict[str, str] = {
    "3": "0.5", "4": "0.7", "5": "0.8", "6": "1", "8": "1.25", "10": "1.5", "12": "1.75", "14": "2",
    "16": "2", "20": "2.5",
}  # fmt: skip
# ISO 898-1 states properties of bolts up to M39.
SMALLEST, LARGEST = Decimal("1.6"), Decimal(39)
LEAST_PITCH = Decimal("0.2")
_FORM = re.compile(r"M\s*(\d{1,2}(?:\.\d{1,2})?)(?:\s*[X×]\s*(\d(?:\.\d{1,2})?))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric ISO thread: nominal diameter and pitch, mm."""

    diameter: Decimal
    pitch: Decimal

    def __post_init__(self) -> None:
        if not SMALLEST <= self.diameter <= LARGEST:
            raise Refused.single(
                "thread", f"M{self.diameter:f} is out of range", f"give M{SMALLEST} to M{LARGEST}"
            )
        coarse = COARSE.get(f"{self.diameter.normalize():f}")
        if coarse and self.pitch > Decimal(coarse):
            raise Refused.single(
                "thread",
                f"a pitch of {self.pitch:f} mm is coarser than the coarse thread of M{self.diameter:f}",
                f"give a pitch up to {coarse} mm, or none for the coarse one",
            )
        if not LEAST_PITCH <= self.pitch <= self.diameter / 4:
            raise Refused.single(
                "thread",
                f"a pitch of {self.pitch:f} mm does not go with M{self.diameter:f}",
                f"give a pitch from {LEAST_PITCH} mm to a quarter of the diameter",
            )

    def __str__(self) -> str:
        return f"M{self.diameter.normalize():f}x{self.pitch.normalize():f}"


def thread(text: str) -> Thread:
    """Read "M8", "M8x1", "M10 x 1.25". Refused with what would be right."""
    if "," in text:
        example = "write a point: M10x1.25"
        raise Refused.single("thread", f"{text!r} has a comma in it", example)
    found = _FORM.fullmatch(text.strip().upper())
    if found is None:
        raise Refused.single(
            "thread", f"{text!r} is not a metric thread", "write it as M8, or with its pitch as M8x1"
        )
    diameter, pitch = found.groups()
    if pitch is None:
        key = f"{Decimal(diameter).normalize():f}"
        if key not in COARSE:
            raise Refused.single(
                "thread",
                f"the coarse pitch of M{diameter} is not on record here",
                f"give the pitch as well, as in M{diameter}x1; on record are M{', M'.join(COARSE)}",
            )
        pitch = COARSE[key]
    return Thread(Decimal(diameter), Decimal(pitch))


def stress_area(one: Thread) -> Decimal:
    """In mm²: the area of a bar with the mean of pitch and root diameter."""
    with localcontext(WORKING):
        d2 = one.diameter - Decimal("0.649519") * one.pitch
        d3 = one.diameter - Decimal("1.226869") * one.pitch
        return PI / 4 * ((d2 + d3) / 2) ** 2
