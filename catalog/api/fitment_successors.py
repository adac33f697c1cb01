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
    """`cards` are the parts asked about, by id. As many statements as the longest chain has links."""

    def __init__(self, cards: Mapping[int, PartCard], day: date) -> None:
        self.day = day
        rows = replacements_from(cards.keys())
        linked = {int(row.new) for row in rows} | {int(row.old) for row in rows}
        cards = {**cards, **part_cards(linked - cards.keys())}
        # Rules that refuse name the part as people know it.
        names = {str(part): f"{card.brand} {card.number}" for part, card in cards.items()}
        self.names = {part: names[str(part)] for part in cards}
        self.parts = {names[str(part)]: card for part, card in cards.items()}
        self.rows: Mapping[str, list[Replacement]] = _apart(
            [replace(row, old=names[row.old], new=names[row.new]) for row in rows]
        )
        self.known: dict[int, Ways] = {}

    def of(self, part: int) -> Ways:
        """The ways to serve this part with current ones; empty where nothing replaces it."""
        if part not in self.known:
            self.known[part] = self._ways(self.names[part])
        return self.known[part]

    def _ways(self, name: str) -> Ways:
        rows = self.rows.get(name)
        if not rows:
            return []
        chains = current(name, rows, self.day)
        return [
            [
                {"brand": self.parts[new].brand, "number": self.parts[new].number, "quantity": quantity}
                for new, quantity in chain.parts
            ]
            for chain in chains
            if chain.steps
        ]


def _apart(rows: list[Replacement]) -> dict[str, list[Replacement]]:
    """By part, the rows of the island it lies on: following one part must not read the rows of all others."""
    touching: dict[str, list[Replacement]] = defaultdict(list)
    for row in rows:
        touching[row.old].append(row)
        touching[row.new].append(row)
    found: dict[str, list[Replacement]] = {}
    for start in touching:
        if start in found:
            continue
        island: dict[Replacement, None] = {}
        seen, waiting = {start}, [start]
        for part in waiting:
            for row in touching[part]:
                island[row] = None
                for end in (row.old, row.new):
                    if end not in seen:
                        seen.add(end)
                        waiting.append(end)
        rows_here = list(island)
        for part in seen:
            found[part] = rows_here
    return found
