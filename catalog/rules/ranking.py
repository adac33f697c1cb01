"""In which order the counter names what it found, and why it found it.

The number as asked goes before everything; then a supplier's own number; then an engine family by its
code or name; then numbers that begin like the one asked; then numbers with one character different; then
what is described by the words. Things found the same way stand in one place: none is guessed to be
meant, and each says why it is in the list. Among those found by words the ones that leave fewer words
over come first, then part types and families before single parts, then what meets the words in full
before what meets them by a beginning.

>>> hits = [Hit("part", "words", "Cindral CND-1", met=3), Hit("part", "number", "Orlin 77-1"),
...         Hit("part", "number", "Brack 771"), Hit("part", "words", "Orlin 9", met=4)]
>>> [(place, hit.label) for place, hit in ranked(hits)]
[(1, 'Brack 771'), (1, 'Orlin 77-1'), (3, 'Orlin 9'), (4, 'Cindral CND-1')]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["part", "family", "part type", "fitting"]
Way = Literal["number", "supplier", "family", "prefix", "slip", "words"]
PLACE: Mapping[Way, int] = {"number": 0, "supplier": 1, "family": 2, "prefix": 3, "slip": 4, "words": 5}
# Found by words, a part type for a family answers most; single parts come last, for there are many.
KIND: Mapping[Kind, int] = {"fitting": 0, "family": 1, "part type": 2, "part": 3}


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found. `label` is what people call it, `detail` what it is, `why` the reason it was found.

    `key` names it for other software: brand and number of a part, family, part_type. `unmet` counts the
    words asked that it leaves over, `met` how well it meets the others (2 in full, 1 by a beginning).
    """

    kind: Kind
    found: Way
    label: str
    detail: str = ""
    why: str = ""
    key: tuple[tuple[str, str], ...] = field(default=())
    unmet: int = 0
    met: int = 0
    order: str = ""

    @property
    def place(self) -> tuple[int, int, int, int]:
        """Hits with the same place are ties."""
        if self.found != "words":
            return PLACE[self.found], 0, 0, 0
        return PLACE[self.found], self.unmet, KIND[self.kind], -self.met


def ranked(hits: Iterable[Hit]) -> tuple[tuple[int, Hit], ...]:
    """The hits in reading order, each with its rank; ties share one (1, 1, 3). A thing found in two ways is
    told once, for the better reason. Within a tie by `order` (a number as it compares), then by label."""
    once: dict[object, Hit] = {}
    for hit in sorted(hits, key=lambda hit: (hit.place, hit.order, hit.label)):
        once.setdefault((hit.kind, hit.key or hit.label), hit)
    found: list[tuple[int, Hit]] = []
    for count, hit in enumerate(once.values(), start=1):
        tied = bool(found) and found[-1][1].place == hit.place
        found.append((found[-1][0] if tied else count, hit))
    return tuple(found)


def slip(asked: str, other: str) -> str:
    """How a number one slip away differs, both normalised: for telling somebody over a counter.

    >>> slip("GX1O42", "GX1042"), slip("GX142", "GX1042")
    ('one character differs: O is 0', 'one character more: 0')
    >>> slip("GX10442", "GX1042"), slip("XG1042", "GX1042")
    ('one character less: 4', 'two are swapped: X and G')
    """
    start = next(
        (n for n, (a, b) in enumerate(zip(asked, other, strict=False)) if a != b), min(len(asked), len(other))
    )
    if len(other) > len(asked):
        return f"one character more: {other[start]}"
    if len(other) < len(asked):
        return f"one character less: {asked[start]}"
    a, b = asked[start : start + 2], other[start : start + 2]
    if len(a) == 2 and a == b[::-1]:
        return f"two are swapped: {a[0]} and {a[1]}"
    return f"one character differs: {asked[start]} is {other[start]}"
