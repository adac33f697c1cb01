"""Which stated accuracy of a meter a reading was taken with.

A meter states its accuracy range by range; a reading is taken on the smallest range that can show it, since
that is the one a meter (or the person turning its dial) chooses.
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from shop.models import Meter, MeterRange
from shop.rules.errors import Refused
from shop.rules.unit_table import unit
from shop.rules.units import convert


def accuracy_of(meter: Meter, value: Decimal, code: str) -> dict[str, Any]:
    """Accuracy and resolution for a displayed value in a unit (UCUM), as the reading rules take them.

    Refused where the meter has no range for the unit, or none that reaches the value.
    """
    ranges = sorted(_in_unit(meter.ranges.all(), code), key=lambda one: one[0])
    if not ranges:
        raise Refused.single(
            "meter", f"{meter.name} has no range for {_symbol(code)}", "choose another meter"
        )
    for full_scale, row, resolution in ranges:
        if abs(value) <= full_scale:
            return {
                "accuracy_percent": row.accuracy_percent,
                "accuracy_counts": row.accuracy_counts,
                "resolution": resolution,
            }
    raise Refused.single(
        "meter",
        f"{meter.name} reads up to {_plain(ranges[-1][0])} {_symbol(code)}, not {value}",
        "check the figure or choose another meter",
    )


def measures(meter: Meter, code: str) -> bool:
    """Whether the meter has a range for this unit at all."""
    return bool(_in_unit(meter.ranges.all(), code))


def _in_unit(ranges: Iterable[MeterRange], code: str) -> list[tuple[Decimal, MeterRange, Decimal]]:
    """Full scale, the range, and its resolution, of those ranges that measure the same as `code`."""
    found = []
    for row in ranges:
        try:
            if unit(row.unit).dimension != unit(code).dimension:
                continue
            # Of temperature scales the zero differs, so a resolution cannot be carried over.
            if row.unit != code and unit(code).dimension == "temperature":
                continue
            full_scale, resolution = (convert(x, row.unit, code) for x in (row.full_scale, row.resolution))
        except Refused:  # a unit the records hold and the table does not know
            continue
        found.append((full_scale, row, _plain(resolution)))
    return found


def _plain(value: Decimal) -> Decimal:
    """Without the zeros that the column adds, and never in exponent form."""
    return Decimal(f"{value.normalize():f}")


def _symbol(code: str) -> str:
    return unit(code).symbol
