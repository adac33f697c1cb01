"""Which part type for which engine family somebody means who types "glow plug fell 8".

Some of the words name the family, some the part type. Of all pairs of a part type and a family those are
meant that account for most of the words, each of the two for at least one that the other does not; of
those, the ones whose names hold the fewest words that nobody asked for.

>>> from catalog.rules.words import wishes
>>> asked = wishes(words("glow plug fell 8"))
>>> plug, lead = Name("glow-plug", "glow plug"), Name("plug-lead", "glow-plug lead")
>>> eight, four = Name("fell-8", "Fell 8"), Name("fell-4", "Fell 4")
>>> [(pair.part_type.code, pair.family.code) for pair in meant(asked, [lead, plug], [four, eight])]
[('glow-plug', 'fell-8')]
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from catalog.rules.words import Wish, meets, words

MOST_PAIRS = 6
_LOOKED_AT = 12


@dataclass(frozen=True)
class Name:
    """A part type or an engine family: its code, and what it is called; `also` is not shown but searched."""

    code: str
    name: str
    also: str = ""

    @cached_property
    def words(self) -> frozenset[str]:
        return frozenset(words(f"{self.code} {self.name} {self.also}"))

    def met(self, asked: Sequence[Wish]) -> frozenset[int]:
        """The places of the wishes that the name meets."""
        return frozenset(place for place, wish in enumerate(asked) if meets(self.words, wish))

    def more(self, asked: Sequence[Wish]) -> int:
        """How many words of the name nobody asked for."""
        told = {word.rstrip("*") for wish in asked for way in wish for word in way}
        return sum(1 for word in words(self.name) if not any(word.startswith(one) for one in told))


@dataclass(frozen=True)
class Pair:
    part_type: Name
    family: Name
    unused: tuple[int, ...]
    more: int


def meant(asked: Sequence[Wish], types: Sequence[Name], families: Sequence[Name]) -> tuple[Pair, ...]:
    """The pairs meant, the likeliest first; `unused` are the places of the wishes that neither meets."""
    kinds = _likely(asked, types)
    engines = _likely(asked, families)
    pairs: list[Pair] = []
    for kind, of_kind, more in kinds:
        for family, of_family, also in engines:
            if of_kind - of_family and of_family - of_kind:
                unused = tuple(n for n in range(len(asked)) if n not in of_kind | of_family)
                pairs.append(Pair(kind, family, unused, more + also))
    fewest = min((len(pair.unused) for pair in pairs), default=0)
    pairs = [pair for pair in pairs if len(pair.unused) == fewest]
    if pairs and min(pair.more for pair in pairs) == 0:
        pairs = [pair for pair in pairs if pair.more == 0]
    return tuple(
        sorted(pairs, key=lambda pair: (pair.more, pair.part_type.name, pair.family.name))[:MOST_PAIRS]
    )


def _likely(asked: Sequence[Wish], names: Sequence[Name]) -> list[tuple[Name, frozenset[int], int]]:
    """The names that meet the most wishes, each with the wishes it meets and the words nobody asked for."""
    met = [(name, name.met(asked)) for name in names]
    met.sort(key=lambda pair: -len(pair[1]))
    # The best of a longer list than is used: among equals the one with the fewest other words is meant.
    told = [(name, of_name, name.more(asked)) for name, of_name in met[: 4 * _LOOKED_AT]]
    return sorted(told, key=lambda one: (-len(one[1]), one[2]))[:_LOOKED_AT]
