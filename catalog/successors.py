"""What replaced these parts by a day, with the parts themselves, for pages that show it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from catalog.cards import PartCard
from catalog.queries import part_cards, replacements_from
from catalog.rules.replacement import current
from shop.rules.errors import Refused


@dataclass(frozen=True)
class Way:
    """One complete way to serve a part today: the parts with their quantities, and how it came to this."""

    parts: tuple[tuple[PartCard, int], ...]
    text: str


class Successors:
    """One statement for the chains, and one for the parts they lead to."""

    def __init__(self, part_ids: Collection[int], day: date) -> None:
        self.day = day
        self.rows = replacements_from(part_ids)
        linked = {int(key) for row in self.rows for key in (row.old, row.new)}
        self.cards = part_cards(linked | set(part_ids))
        self._names = {str(part): card.label for part, card in self.cards.items()}
        self._replaced = {int(row.old) for row in self.rows}

    def of(self, part: int) -> tuple[Way, ...]:
        """The ways, newest first; none for a part that nothing has replaced by that day."""
        if part not in self._replaced:
            return ()
        try:
            chains = current(str(part), self.rows, self.day)
        except Refused as refused:  # rows that cannot be followed: said, not hidden
            return (Way((), f"the replacements cannot be followed: {refused}"),)
        return tuple(
            Way(
                tuple((self.cards[int(key)], quantity) for key, quantity in chain.parts),
                chain.text(self._names),
            )
            for chain in chains
            if chain.steps
        )

    def ends(self, part_ids: Collection[int]) -> frozenset[int]:
        """Every part that some way of these parts ends in."""
        return frozenset(card.id for part in part_ids for way in self.of(part) for card, _ in way.parts)
