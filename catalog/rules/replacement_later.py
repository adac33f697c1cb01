"""Replacements that are announced but do not count yet, so that nobody wonders where they went.

>>> rows = [Replacement("A", "B", 1, 1, False, date(2030, 7, 1)), Replacement("A", "C", 1, 2, False, None)]
>>> [later.text() for later in still_to_come("A", rows, date(2026, 1, 1))]
['A is replaced by B and 2 x C from 1 July 2030, not before']
>>> still_to_come("A", rows, date(2030, 7, 1))
()
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from catalog.rules.interval import day_text
from catalog.rules.replacement_rows import Replacement, sets

_NO_NAMES: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class ToCome:
    """Rows of one old part that belong together, and the day from which they count: that of the last one."""

    rows: tuple[Replacement, ...]
    from_day: date

    def text(self, names: Mapping[str, str] = _NO_NAMES) -> str:
        """For people; `names` gives the numbers to show for the parts' keys."""
        old = names.get(self.rows[0].old, self.rows[0].old)
        new = [
            shown if row.quantity == 1 else f"{row.quantity} x {shown}"
            for row, shown in ((row, names.get(row.new, row.new)) for row in self.rows)
        ]
        alike = len(self.rows) == 1 and self.rows[0].both_ways
        verb = "serves alike with" if alike else "is replaced by"
        return f"{old} {verb} {' and '.join(new)} from {day_text(self.from_day)}, not before"


def still_to_come(part: str, replacements: Iterable[Replacement], on: date) -> tuple[ToCome, ...]:
    """What will replace `part` after that day, soonest first."""
    found = []
    for (old, _), together in sets(replacements).items():
        last = max((row.valid_from for row in together if row.valid_from is not None), default=on)
        if old == part and last > on:
            found.append(ToCome(tuple(together), last))
    return tuple(sorted(found, key=lambda later: later.from_day))
