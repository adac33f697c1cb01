"""The axis under a picture of readings: how far it reaches, where a value lies on it.

It shows the good band and every value near it. What lies further off than twice the band's width would
squash the rest: that is left to the margin.

>>> plot = plot_of({"minimum": "0.70", "maximum": "1.10", "rows": []})
>>> plot.low, plot.high
(Decimal('0.6680'), Decimal('1.1320'))
>>> plot.x(Decimal("0.90")) - LEFT == (RIGHT - LEFT) / 2
True
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimates.documents.phrases import Json

LEFT, RIGHT = Decimal(72), Decimal(232)
ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Plot:
    """The axis from `low` to `high` between LEFT and RIGHT, and the good band, open where a limit is None."""

    low: Decimal
    high: Decimal
    minimum: Decimal | None
    maximum: Decimal | None

    def x(self, value: Decimal) -> Decimal:
        """Where a value lies across; linear, and beyond the ends too."""
        return LEFT + (value - self.low) / (self.high - self.low) * (RIGHT - LEFT)

    def inside(self, value: Decimal) -> bool:
        return self.low <= value <= self.high

    def clip(self, value: Decimal) -> Decimal:
        return min(max(value, self.low), self.high)


def plot_of(reading: Json) -> Plot:
    """The axis of one entry of a document's "readings"."""
    minimum, maximum = _number(reading["minimum"]), _number(reading["maximum"])
    first, last = _band(minimum, maximum)
    reach = 2 * (last - first)
    near = [
        end
        for value, margin in _values(reading["rows"])
        if first - reach <= value <= last + reach
        for end in (value - margin, value + margin)
    ]
    low = max(min([first, *near]), first - reach)
    high = min(max([last, *near]), last + reach)
    edge = (high - low) * Decimal("0.08")
    return Plot(low - edge, high + edge, minimum, maximum)


def _band(minimum: Decimal | None, maximum: Decimal | None) -> tuple[Decimal, Decimal]:
    """Both ends to lay the axis out by, where one limit is missing or both are the same."""
    if minimum is not None and maximum is not None and minimum < maximum:
        return minimum, maximum
    limit = maximum if maximum is not None else minimum
    assert limit is not None  # a numeric test point has at least one limit
    if minimum is None and limit > 0:
        return ZERO, limit
    half = abs(limit) / 2 or Decimal(1)
    if minimum is None:
        return limit - half, limit
    return (limit, limit + half) if maximum is None else (limit - half, limit + half)


def _values(rows: Sequence[Json]) -> list[tuple[Decimal, Decimal]]:
    return [
        (Decimal(row["corrected"]), Decimal(row["uncertainty"] or 0))
        for row in rows
        if row["corrected"] is not None
    ]


def _number(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
