"""What replaced these parts by a day, with the parts themselves."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date

from catalog.cards import PartCard
from catalog.queries import part_cards, replacements_from
from catalog.rules.replacement import Chain, Replacement, current
from shop.rules.errors import Refused


@dataclass(frozen=True)
class Way:
    """One complete way to serve a part today: the parts with their quantities, how it came to this, and
    since when each step counts, for those of which it is known."""

    parts: tuple[tuple[PartCard, int], ...]
    text: str
    since: tuple[tuple[PartCard, date], ...] = ()


class Successors:
    """One statement for the chains, and one for the parts they lead to. `cards` are parts read already."""

    def __init__(
        self, part_ids: Collection[int], day: date, cards: Mapping[int, PartCard] | None = None
    ) -> None:
        self.day = day
        self.rows = replacements_from(part_ids)
        linked = {int(key) for row in self.rows for key in (row.old, row.new)}
        held = cards or {}
        self.cards = {**held, **part_cards((linked | set(part_ids)) - held.keys())}
        # Rules that refuse name the part as people know it.
        self._names = {part: f"{self.cards[part].brand} {self.cards[part].number}" for part in linked}
        names = {str(part): name for part, name in self._names.items()}
        self._of_name = {name: self.cards[part] for part, name in self._names.items()}
        self._onwards: dict[str, list[Replacement]] = defaultdict(list)
        for row in self.rows:
            self._onwards[names[row.old]].append(replace(row, old=names[row.old], new=names[row.new]))
        self._known: dict[int, tuple[Chain, ...]] = {}

    def chains(self, part: int) -> tuple[Chain, ...]:
        """The ways over brand and number; none where nothing has replaced the part by that day, also where it
        is the newer of two that serve alike. Raises Refused for rows that cannot be followed."""
        if part not in self._names:
            return ()
        if part not in self._known:
            name = self._names[part]
            found = current(name, self._leading_on(name), self.day) if name in self._onwards else ()
            newest = not found or not found[0].steps
            self._known[part] = () if newest else tuple(chain for chain in found if chain.steps)
        return self._known[part]

    def current_parts(self, part: int) -> list[list[tuple[PartCard, int]]]:
        """The ways as parts with quantities alone."""
        return [[(self._of_name[name], count) for name, count in way.parts] for way in self.chains(part)]

    def of(self, part: int) -> tuple[Way, ...]:
        """The ways, newest first, each told in words; rows that cannot be followed are said, not hidden."""
        try:
            chains = self.chains(part)
        except Refused as refused:
            return (Way((), f"the replacements cannot be followed: {refused}"),)
        labels = {name: card.label for name, card in self._of_name.items()} if chains else {}
        return tuple(
            Way(
                tuple((self._of_name[name], quantity) for name, quantity in chain.parts),
                chain.text(labels),
                tuple((self._of_name[row.new], row.valid_from) for row in chain.steps if row.valid_from),
            )
            for chain in chains
        )

    def ends(self, part_ids: Collection[int]) -> frozenset[int]:
        """Every part that some way of these parts ends in."""
        return frozenset(card.id for part in part_ids for way in self.of(part) for card, _ in way.parts)

    def _leading_on(self, name: str) -> list[Replacement]:
        """The rows that lead on from a part: the same ones in a batch of its own and in any other."""
        reached, seen = [name], {name}
        for part in reached:
            for row in self._onwards.get(part, ()):
                if row.new not in seen:
                    seen.add(row.new)
                    reached.append(row.new)
        return [row for part in reached for row in self._onwards.get(part, ())]
