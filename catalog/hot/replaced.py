"""Chains of replacements, followed to their ends by the database."""

from collections.abc import Collection

from catalog.rules.replacement import Replacement
from shop.statement import Statement

# Old leads to new, and back where the two serve alike. Each step asks two indexes: left to itself PostgreSQL
# would read the whole table for it, and SQLite knows no lateral join.
STEP = {
    "postgresql": {
        "there": "r.there",
        "links": "CROSS JOIN LATERAL ("
        "SELECT *, new_id AS there FROM catalog_replacement WHERE old_id = reach.id UNION ALL "
        "SELECT *, old_id FROM catalog_replacement WHERE both_ways AND new_id = reach.id) r",
    },
    "sqlite": {
        "there": "CASE WHEN r.old_id = reach.id THEN r.new_id ELSE r.old_id END",
        "links": "CROSS JOIN catalog_replacement r "
        "ON r.old_id = reach.id OR (r.both_ways AND r.new_id = reach.id)",
    },
}
REACHED = Statement(
    """
WITH RECURSIVE reach(id) AS (
    SELECT id FROM catalog_part WHERE id {numbers} UNION SELECT {there} FROM reach {links}
)
SELECT DISTINCT r.id, r.old_id, r.new_id, r.choice, r.quantity, {plain}r.both_ways,
    {plain}r.valid_from
FROM reach {links} ORDER BY r.id
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
