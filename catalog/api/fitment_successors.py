"""What replaced the parts of a batch: the rows read once, each part followed among the rows it hangs on."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from catalog.cards import PartCard
from catalog.queries import part_cards, replacements_from
from catalog.rules.replacement import Replacement, current

Ways = list[list[dict[str, str | int]]]


class Successors:
    """`cards` are the parts asked about, by id. Two statements."""

    def __init__(self, cards: Mapping[int, PartCard], day: date) -> None:
        self.day = day
        rows = replacements_from(cards.keys())
        linked = {int(row.new) for row in rows} | {int(row.old) for row in rows}
        cards = {**cards, **part_cards(linked - cards.keys())}
        # Rules that refuse name the part as people know it.
        names = {str(part): f"{card.brand} {card.number}" for part, card in cards.items()}
        self.names = {part: names[str(part)] for part in cards}
        self.parts = {names[str(part)]: card for part, card in cards.items()}
        self.rows: dict[str, list[Replacement]] = defaultdict(list)
        for row in rows:
            self.rows[names[row.old]].append(replace(row, old=names[row.old], new=names[row.new]))
        self.known: dict[int, Ways] = {}

    def of(self, part: int) -> Ways:
        """The ways to serve this part with current ones; empty where nothing replaces it."""
        if part not in self.known:
            self.known[part] = self._ways(self.names[part])
        return self.known[part]

    def _ways(self, name: str) -> Ways:
        if name not in self.rows:
            return []
        chains = current(name, self._onwards(name), self.day)
        if not chains[0].steps:
            return []  # the newest there is; older parts that serve alike did not replace it
        return [
            [
                {"brand": self.parts[new].brand, "number": self.parts[new].number, "quantity": quantity}
                for new, quantity in chain.parts
            ]
            for chain in chains
            if chain.steps
        ]

    def _onwards(self, name: str) -> list[Replacement]:
        """The rows that lead on from a part: the same ones in a batch of its own and in any other."""
        reached, seen = [name], {name}
        for part in reached:
            for row in self.rows.get(part, ()):
                if row.new not in seen:
                    seen.add(row.new)
                    reached.append(row.new)
        return [row for part in reached for row in self.rows.get(part, ())]
