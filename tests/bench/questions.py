"""Questions drawn at random from a trade: engines as they are known at a counter, parts, numbers."""

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from trade import OPTIONS, SCHEMES, TYPES, Trade

DAY = "2024-06-15"


@dataclass(frozen=True)
class Question:
    """A part type for an engine. Known facts only; `whole` where every fact is known to the day."""

    family: str
    part_type: str
    built: str
    serial: str
    options: dict[str, str]

    @property
    def whole(self) -> bool:
        return len(self.built) == 10 and bool(self.serial) and len(self.options) == len(OPTIONS)


def engine(trade: Trade, family: int, draw: Random) -> dict[str, Any]:
    """Three of four engines are known completely; of the others build date, number or an option is open."""
    year = trade.first_year(family) + draw.randrange(9)
    day = f"{year}-{draw.randrange(1, 13):02d}-{draw.randrange(1, 29):02d}"
    letter = chr(65 + family % SCHEMES)
    known = {
        "built": day,
        "serial": f"{letter}{draw.choice('AB')}{draw.randrange(1_000_000):06d}",
        "options": {code: draw.choice(values) for code, values in OPTIONS},
    }
    if draw.random() < 0.25:
        missing = draw.choice(("built", "serial", "options"))
        known[missing] = {"built": day[:4], "serial": "", "options": {}}[missing]
    return known


def fitting_questions(trade: Trade, count: int, seed: int = 7) -> Iterator[Question]:
    """Types as a workshop asks for them: all alike, whatever they have on the shelf."""
    draw = Random(seed)
    for _ in range(count):
        kind = draw.randrange(TYPES)
        family = trade.family_of(kind, draw.randrange(trade.pairs_of(kind)))
        yield Question(f"family-{family + 1}", f"type-{kind + 1}", **engine(trade, family, draw))


def listed_pairs(trade: Trade, count: int, seed: int = 8) -> list[tuple[int, int]]:
    """Parts and families (counted from 0): four of five have an application together."""
    draw = Random(seed)
    pairs = []
    while len(pairs) < count:
        part = draw.randrange(trade.parts)
        users = list(trade.users_of(part))
        listed = users and draw.random() < 0.8
        pairs.append((part, draw.choice(users) if listed else draw.randrange(trade.families)))
    return pairs
