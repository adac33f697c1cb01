"""What a meter showed, and how far that can be off.

A meter of 1 % of reading plus 2 counts of 0.01, showing 0.82, may be off by 0.0082 + 0.02:

>>> shown = Measured("number", Decimal("0.82"), Decimal("0.20"), Decimal(1), 2, Decimal("0.01"))
>>> shown.uncertainty
Decimal('0.0282')

Counts of a last digit nobody gave the worth of would silently come to nothing, so they are refused:

>>> Measured("number", Decimal("0.82"), accuracy_counts=2)
Traceback (most recent call last):
shop.rules.errors.Refused: meter, counts: they need the meter's resolution; give what one is worth
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from shop.rules.errors import Refused

ZERO = Decimal(0)
DIGITS = 30


@dataclass(frozen=True, slots=True)
class Measured:
    """A number as the meter displayed it, or "open", or a lamp "on" / "off".

    `zero`: what the meter shows with its leads held together. Accuracy: percent of the displayed value
    plus counts of the last digit, whose worth is `resolution`. Temperature in degrees Celsius if noted.
    """

    kind: Literal["number", "open", "on", "off"]
    value: Decimal | None = None
    zero: Decimal = ZERO
    accuracy_percent: Decimal = ZERO
    accuracy_counts: int = 0
    resolution: Decimal = ZERO
    temperature: Decimal | None = None

    def __post_init__(self) -> None:
        if self.kind not in ("number", "open", "on", "off"):
            raise Refused.single("reading", f"'{self.kind}' is none", "say number, open, on or off")
        if self.kind == "number" and self.value is None:
            raise Refused.single("reading", "a number with no value", "give the displayed value")
        if self.kind != "number" and self.value is not None:
            raise Refused.single("reading", f"a value beside '{self.kind}'", "give one of the two")
        for name, value in (("value", self.value), ("zero", self.zero), ("temperature", self.temperature)):
            require_finite(name, value)
        for name, value in (("accuracy percent", self.accuracy_percent), ("resolution", self.resolution)):
            require_finite(name, value)
            if value < 0:
                raise Refused.single(f"meter, {name}", f"{value} is negative", "give zero or more")
        if self.accuracy_counts < 0:
            raise Refused.single("meter, counts", f"{self.accuracy_counts} is negative", "give zero or more")
        if self.accuracy_counts and not self.resolution:
            # Counts of an unknown last digit would silently come to nothing.
            raise Refused.single(
                "meter, counts", "they need the meter's resolution", "give what one is worth"
            )

    @property
    def uncertainty(self) -> Decimal:
        """Plus or minus this much, in the unit of the value; zero for anything but a number."""
        if self.value is None:
            return ZERO
        return abs(self.value) * self.accuracy_percent / 100 + self.accuracy_counts * self.resolution

    @property
    def accuracy_stated(self) -> bool:
        """Whether the meter's accuracy is known at all; if not, the reading is taken as exact."""
        return bool(self.accuracy_percent or self.accuracy_counts)

    @property
    def places(self) -> int:
        """Decimals the meter shows: those of its resolution if stated, else of the value as written."""
        exponent = (self.resolution or self.value or ZERO).as_tuple().exponent
        return max(0, -exponent) if isinstance(exponent, int) else 0


def require_finite(name: str, value: Decimal | None) -> None:
    """Refuse what is no plain decimal number of sensible length; None (not stated) is fine."""
    if value is None:
        return
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int):
        raise Refused.single(name, f"{value} is not a finite number", "give a plain decimal number")
    if exponent < -DIGITS or value.adjusted() > DIGITS:
        raise Refused.single(
            name, f"{value} has more places than any meter shows", f"keep to {DIGITS} places either side"
        )
