"""What is offered on a day, by suppliers that are not blocked; and what lies on the shop's own shelf."""

from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.cards import OfferCard
from shop.statement import Row, Statement, amount

# Offers with their price breaks beside them: an offer with three breaks comes as three rows. The first day is
# kept off the index (a plus in front, on SQLite): SQLite 3.40 with statistics, looking for a list of parts of
# a supplier up to a day in the index of all three, also gives rows of later days.
_ON = """
SELECT o.id, o.part_id, s.code, s.name, s.currency, o.price, o.pack, o.minimum_quantity, o.deposit,
    o.lead_days, {plain}o.valid_from, {plain}o.valid_until, o.supplier_number, s.freight, s.free_freight_from,
    s.stale_after_days, {plain}f.confirmed_on, {plain}s.preferred, {plain}s.blocked, b.quantity_from, b.price
FROM catalog_offer o JOIN catalog_supplier s ON s.id = o.supplier_id
LEFT JOIN (SELECT supplier_id, MAX(valid_from) AS confirmed_on FROM catalog_pricefile WHERE complete
    GROUP BY supplier_id) f ON f.supplier_id = s.id
LEFT JOIN catalog_pricebreak b ON b.offer_id = o.id
WHERE o.part_id {numbers} AND NOT s.blocked AND {plain}o.valid_from <= %s
    AND (o.valid_until IS NULL OR o.valid_until >= %s)
ORDER BY o.part_id, s.code, o.valid_from DESC, b.quantity_from
"""
ON = Statement(_ON, amounts=[5, 8, 13, 14, 20], days=[10, 11, 16], truths=[17, 18])
EVERY = Statement(
    _ON.replace("AND NOT s.blocked ", ""), amounts=[5, 8, 13, 14, 20], days=[10, 11, 16], truths=[17, 18]
)
PRICE, BREAK = 5, 19
SHELF = Statement(
    """
SELECT part_id, quantity, unit_cost, currency FROM catalog_stock WHERE part_id {numbers} AND quantity > 0
ORDER BY part_id
""",
    amounts=[2],
)


def offers_on(part_ids: Collection[int], day: date) -> dict[int, tuple[OfferCard, ...]]:
    """By part id, the offers valid on `day` from suppliers that are not blocked. One statement."""
    return _by_part(ON, part_ids, day)


def every_offer_on(part_ids: Collection[int], day: date) -> dict[int, tuple[OfferCard, ...]]:
    """As `offers_on`, with those of blocked suppliers, which say so. One statement."""
    return _by_part(EVERY, part_ids, day)


def on_the_shelf(part_ids: Collection[int], day: date) -> dict[int, tuple[int, OfferCard]]:
    """By part id, the pieces on the shop's own shelf, and what was paid for one as an offer of no supplier
    that is there at once. One statement."""
    rows = SHELF.rows(part_ids) if part_ids else []
    return {
        part: (
            pieces,
            OfferCard(0, part, "", "own stock", currency, cost, (), 1, 1, Decimal(0), 0, day, None),
        )
        for part, pieces, cost, currency in rows
    }


def _by_part(statement: Statement, part_ids: Collection[int], day: date) -> dict[int, tuple[OfferCard, ...]]:
    found: dict[int, list[OfferCard]] = {}
    for rows in _standing(statement, part_ids, day):
        found.setdefault(rows[0][1], []).append(_card(rows))
    return {part_id: tuple(offers) for part_id, offers in found.items()}


def _standing(statement: Statement, part_ids: Collection[int], day: date) -> Iterable[list[Row]]:
    """The rows of each offer that stands, its breaks rising. A newer offer of the same supplier stands in
    front of an older one."""
    chosen: dict[tuple[int, str], list[Row]] = {}
    for row in statement.raw(part_ids, day, day) if part_ids else ():
        key = (row[1], row[2])
        rows = chosen.get(key)
        if rows is None:
            chosen[key] = [row]
        elif rows[0][0] == row[0]:
            rows.append(row)
    return chosen.values()


def _card(rows: list[Row]) -> OfferCard:
    steps = tuple((row[BREAK], amount(row[BREAK + 1])) for row in rows if row[BREAK] is not None)
    columns = ON.exact(rows[0])
    values: Any = (*columns[: PRICE + 1], steps, *columns[PRICE + 1 : BREAK])
    return OfferCard(*values)
