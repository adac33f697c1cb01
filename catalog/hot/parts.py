"""Parts with their brand and type, by id or by brand and number."""

from collections.abc import Collection

from catalog.cards import PartCard
from shop.statement import Statement, Together

# In the order of PartCard.
COLUMNS = (
    "p.id, b.code, b.name, p.number, t.code, t.name, p.description, p.grade, p.list_price, p.list_currency, "
    "{plain}t.controls"
)
JOINS = "JOIN catalog_brand b ON b.id = p.brand_id JOIN catalog_parttype t ON t.id = p.part_type_id"
PRICE_AT, CONTROLS_AT = 8, 10

BY_ID = Statement(
    f"SELECT {COLUMNS} FROM catalog_part p {JOINS} WHERE p.id {{numbers}}",
    amounts=[PRICE_AT],
    truths=[CONTROLS_AT],
)
PAIRS = {
    "postgresql": {
        "pairs": "unnest(%s::text[], %s::text[]) q(brand, number) JOIN catalog_brand b ON b.code = q.brand "
        "JOIN catalog_part p ON p.brand_id = b.id AND p.normalised = q.number",
    },
    "sqlite": {
        "pairs": "json_each(%s) q CROSS JOIN catalog_brand b ON b.code = json_extract(q.value, '$[0]') "
        "CROSS JOIN catalog_part p ON p.brand_id = b.id AND p.normalised = json_extract(q.value, '$[1]')",
    },
}
BY_NUMBER = Statement(
    f"SELECT {COLUMNS}, p.normalised FROM {{pairs}} JOIN catalog_parttype t ON t.id = p.part_type_id",
    PAIRS,
    amounts=[PRICE_AT],
    truths=[CONTROLS_AT],
)


def part_cards(ids: Collection[int]) -> dict[int, PartCard]:
    """Parts by id. One statement."""
    return {row[0]: PartCard(*row) for row in BY_ID.rows(list(ids))} if ids else {}


def parts_by_number(keys: Collection[tuple[str, str]]) -> dict[tuple[str, str], PartCard]:
    """Parts by brand code and normalised number. One statement."""
    rows = BY_NUMBER.rows(Together(keys)) if keys else ()
    return {(row[1], row[-1]): PartCard(*row[:-1]) for row in rows}
