"""The cheapest offer of each part on a day: read with no more than an answer shows."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from shop.statement import Row, Statement, amount
from shop.statement import day as as_day

VALID = Statement("""
SELECT o.part_id, s.code, o.id, {plain}o.valid_from, s.name, s.currency, o.price, o.pack, o.minimum_quantity,
    o.deposit, o.lead_days, {plain}o.valid_until, b.quantity_from, b.price
FROM catalog_offer o JOIN catalog_supplier s ON s.id = o.supplier_id
LEFT JOIN catalog_pricebreak b ON b.offer_id = o.id
WHERE o.part_id {numbers} AND NOT s.blocked AND {plain}o.valid_from <= %s
    AND (o.valid_until IS NULL OR o.valid_until >= %s)
""")
OFFER, SINCE, CURRENCY, PRICE, PACK, MINIMUM, LEAD_DAYS, BREAK = 2, 3, 5, 6, 7, 8, 10, 12


class Cheapest(NamedTuple):
    """What having the pieces asked for costs from one supplier: `pieces` in whole packs at `each`, without
    tax and freight; `deposit` is for all pieces."""

    currency: str
    cost: Decimal
    lead_days: int
    supplier: str
    supplier_name: str
    offer: int
    pieces: int
    each: Decimal
    deposit: Decimal
    valid_from: date
    valid_until: date | None


def cheapest_on(part_ids: Collection[int], day: date, quantity: int) -> dict[int, tuple[Cheapest, ...]]:
    """By part id, of each currency the offer that costs least for these pieces, by currency code: amounts of
    two currencies are not compared. Of equal ones the sooner. One statement."""
    if not part_ids:
        return {}
    newest: dict[tuple[int, str], Row] = {}
    steps: dict[int, list[Row]] = {}
    for row in VALID.raw(part_ids, day, day):
        key = row[:2]
        if key not in newest or newest[key][SINCE] < row[SINCE]:
            newest[key] = row
        if row[BREAK] is not None:
            steps.setdefault(row[OFFER], []).append(row)
    best: dict[tuple[int, str], Any] = {}
    for (part, supplier), row in newest.items():
        pack = row[PACK]
        pieces = -(-max(quantity, row[MINIMUM]) // pack) * pack
        each = _each(row, steps[row[OFFER]], pieces) if row[OFFER] in steps else row[PRICE]
        entry = (_comparable(each) * pieces, row[LEAD_DAYS], supplier, pieces, each, row)
        place = (part, row[CURRENCY])
        if place not in best or entry < best[place]:
            best[place] = entry
    found: dict[int, tuple[Cheapest, ...]] = {}
    for part, currency in sorted(best) if len(best) > len(part_ids) else best:
        found[part] = (*found.get(part, ()), _told(best[part, currency]))
    return found


def _each(row: Row, steps: list[Row], pieces: int) -> Any:
    reached = [(step[BREAK], step[BREAK + 1]) for step in steps if step[BREAK] <= pieces]
    return max(reached)[1] if reached else row[PRICE]


def _comparable(price: Any) -> Any:
    """An exact amount as PostgreSQL gives it; of what SQLite gives (see shop.statement.amount) the whole
    ten-thousandths, which are as exact and cost a tenth."""
    return price if isinstance(price, Decimal) else round(price * 10_000)


def _told(entry: Any) -> Cheapest:
    _, lead_days, supplier, pieces, price, row = entry
    each = amount(price)
    return Cheapest(
        row[CURRENCY], each * pieces, lead_days, supplier, row[4], row[OFFER], pieces, each,
        amount(row[9]) * pieces, as_day(row[SINCE]), as_day(row[11]),
    )  # fmt: skip
