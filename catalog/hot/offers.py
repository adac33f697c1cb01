"""What is offered on a day, by suppliers that are not blocked."""

from collections.abc import Collection
from datetime import date
from typing import Any

from catalog.cards import OfferCard
from catalog.hot.statement import Statement

# Offers with their price breaks beside them: an offer with three breaks comes as three rows.
ON = Statement(
    """
SELECT o.id, o.part_id, s.code, s.name, s.currency, o.price, o.pack, o.minimum_quantity, o.deposit,
    o.lead_days, o.valid_from, o.valid_until, o.supplier_number, s.freight, s.free_freight_from,
    s.stale_after_days, b.quantity_from, b.price
FROM catalog_offer o JOIN catalog_supplier s ON s.id = o.supplier_id
LEFT JOIN catalog_pricebreak b ON b.offer_id = o.id
WHERE o.part_id {numbers} AND NOT s.blocked AND o.valid_from <= %s
    AND (o.valid_until IS NULL OR o.valid_until >= %s)
ORDER BY o.part_id, s.code, o.valid_from DESC, b.quantity_from
""",
    {5: 4, 8: 4, 13: 4, 14: 4, 17: 4},
)


def offers_on(part_ids: Collection[int], day: date) -> dict[int, tuple[OfferCard, ...]]:
    """By part id, the offers valid on `day` from suppliers that are not blocked. One statement."""
    if not part_ids:
        return {}
    chosen: dict[tuple[int, str], tuple[Any, ...]] = {}
    breaks: dict[int, list[tuple[Any, Any]]] = {}
    for row in ON.rows(list(part_ids), day, day):
        key = (row[1], row[2])
        # A newer offer of the same supplier stands in front of an older one.
        if chosen.setdefault(key, row)[0] == row[0] and row[16] is not None:
            breaks.setdefault(row[0], []).append((row[16], row[17]))
    found: dict[int, list[OfferCard]] = {}
    for row in chosen.values():
        columns: Any = (*row[:6], tuple(breaks.get(row[0], ())), *row[6:16])
        card = OfferCard(*columns)
        found.setdefault(row[1], []).append(card)
    return {part_id: tuple(offers) for part_id, offers in found.items()}
