"""Which other parts on the shelf may be used in place of a current one.

An old part serves where the new one does if their replacement runs both ways; parts of one interchange
group serve alike; and what serves alike with one of these serves alike with all. A one-way replacement is
no such link: the new part was made because the old one did not do everywhere. A link that counts only from
a later day is not walked before it; what it will add is told, with the day.

>>> rows = [Replacement("A", "B", 1, 1, True, date(2020, 1, 1)), Replacement("O", "A", 1, 1, False, None),
...         Replacement("B", "D", 1, 1, True, date(2030, 1, 1))]
>>> for stock in still_serves("B", rows, [{"A", "K"}], date(2026, 1, 1)):
...     print(stock.part, stock.counts, "-", stock.text())
A True - A serves alike with B (both ways since 1 January 2020)
K True - A serves alike with B (both ways since 1 January 2020); K serves alike with A (interchange)
D False - not before 1 January 2030: D serves alike with B (both ways)
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import NamedTuple

from catalog.rules.interval import day_text
from catalog.rules.replacement import in_force
from catalog.rules.replacement_rows import Replacement, split

_NO_NAMES: Mapping[str, str] = MappingProxyType({})


class Link(NamedTuple):
    """`there` serves alike with `here`: by a replacement that runs both ways, since a day or always
    (None), or, where `interchange`, as a member of the same group."""

    here: str
    there: str
    since: date | None
    interchange: bool


@dataclass(frozen=True, slots=True)
class Stock:
    """A part that may be used instead: the fewest `links` that lead to it from the part asked about, and
    whether they all count on the day asked about; if not, `not_before` is the day from which they do."""

    part: str
    links: tuple[Link, ...]
    counts: bool
    not_before: date | None

    def text(self, names: Mapping[str, str] = _NO_NAMES) -> str:
        """Why, for people; `names` gives the numbers to show for the parts' keys."""
        told = "; ".join(
            f"{names.get(link.there, link.there)} serves alike with {names.get(link.here, link.here)} "
            f"({self._ground(link)})"
            for link in self.links
        )
        return told if self.not_before is None else f"not before {day_text(self.not_before)}: {told}"

    def _ground(self, link: Link) -> str:
        if link.interchange:
            return "interchange"
        told = link.since is not None and (self.not_before is None or link.since < self.not_before)
        return f"both ways since {day_text(link.since)}" if link.since and told else "both ways"


def still_serves(
    part: str, replacements: Iterable[Replacement], interchange: Iterable[Collection[str]], on: date
) -> tuple[Stock, ...]:
    """Every other part that serves alike with `part`: those that count on that day, nearest first, then
    those that will, soonest first. `interchange`: the members of each group. Dates of one set of rows
    count as a whole, as in `current`."""
    rows, groups = list(replacements), [sorted(group) for group in interchange]
    later = sorted({row.valid_from for row in rows if row.valid_from is not None and row.valid_from > on})
    found: dict[str, Stock] = {}
    for day in (on, *later):
        for other, links in _walked(part, _links(in_force(rows, day), groups)).items():
            if other not in found and other != part:
                found[other] = Stock(other, links, day == on, None if day == on else day)
    return tuple(found.values())


def _links(rows: Iterable[Replacement], groups: Iterable[Sequence[str]]) -> dict[str, list[Link]]:
    found: dict[str, list[Link]] = defaultdict(list)
    for here, walkable in split(rows)[1].items():
        found[here] += (Link(here, row.new, row.valid_from, False) for row in walkable)
    for group in groups:
        for here in group:
            found[here] += (Link(here, there, None, True) for there in group if there != here)
    return found


def _walked(start: str, links: Mapping[str, Sequence[Link]]) -> dict[str, tuple[Link, ...]]:
    walks: dict[str, tuple[Link, ...]] = {start: ()}
    waiting = [start]
    for part in waiting:
        for link in links.get(part, ()):
            if link.there not in walks:
                walks[link.there] = (*walks[part], link)
                waiting.append(link.there)
    return walks
