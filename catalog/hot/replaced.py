"""Chains of replacements, followed to their ends by the database."""

from collections.abc import Collection

from catalog.rules.replacement import Replacement
from shop.statement import Statement

COLUMNS = "r.id, r.old_id, r.new_id, r.choice, r.quantity, r.both_ways, r.valid_from"
# Old leads to new, and back where the two serve alike. Each step asks two indexes: left to itself PostgreSQL
# would read the whole table for it, and SQLite knows no lateral join.
_LATERAL = (
    "CROSS JOIN LATERAL (SELECT *, new_id AS there FROM catalog_replacement WHERE old_id = {here} UNION ALL "
    "SELECT *, old_id FROM catalog_replacement WHERE both_ways AND new_id = {here}) r"
)
_EITHER = "CROSS JOIN catalog_replacement r ON r.old_id = {here} OR (r.both_ways AND r.new_id = {here})"
_END = "CASE WHEN r.old_id = {here} THEN r.new_id ELSE r.old_id END"
STEP = {
    "postgresql": {
        "asked": "unnest(%s::bigint[]) asked(id)",
        "first": _LATERAL.format(here="asked.id"),
        "first_there": "r.there",
        "next": _LATERAL.format(here="reach.there"),
        "next_there": "r.there",
    },
    "sqlite": {
        "asked": "json_each(%s) asked",
        "first": _EITHER.format(here="asked.value"),
        "first_there": _END.format(here="asked.value"),
        "next": _EITHER.format(here="reach.there"),
        "next_there": _END.format(here="reach.there"),
    },
}
# The rows themselves are what is walked along, so that each part is asked about once.
REACHED = Statement(
    f"""
WITH RECURSIVE reach(id, old_id, new_id, choice, quantity, both_ways, valid_from, there) AS (
    SELECT {COLUMNS}, {{first_there}} FROM {{asked}} {{first}}
    UNION SELECT {COLUMNS}, {{next_there}} FROM reach {{next}}
)
SELECT DISTINCT id, old_id, new_id, choice, quantity, {{plain}}both_ways, {{plain}}valid_from
FROM reach ORDER BY id
""",
    STEP,
    days=[6],
    truths=[5],
)


def replacements_from(part_ids: Collection[int]) -> tuple[Replacement, ...]:
    """Every replacement reachable from these parts, as rules over part ids written as text. One statement."""
    if not part_ids:
        return ()
    return tuple(
        Replacement(str(old), str(new), choice, quantity, both, day)
        for _, old, new, choice, quantity, both, day in REACHED.rows(list(part_ids))
    )
