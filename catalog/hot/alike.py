"""The other members of parts' interchange groups."""

from collections.abc import Collection

from catalog.cards import PartCard
from catalog.hot import parts
from shop.statement import Statement

GROUPS = Statement(
    f"SELECT {parts.COLUMNS}, m.group_id FROM catalog_interchangemember m "
    f"JOIN catalog_part p ON p.id = m.part_id {parts.JOINS} "
    "WHERE m.group_id IN (SELECT group_id FROM catalog_interchangemember WHERE part_id {numbers}) "
    "ORDER BY p.id",
    amounts=[parts.PRICE_AT],
    truths=[parts.CONTROLS_AT],
)


def alike_with(part_ids: Collection[int]) -> dict[int, tuple[PartCard, ...]]:
    """By part, the others of its interchange group in the order of their ids: for these parts, and for every
    other member of their groups. Parts without a group are left out. One statement."""
    groups: dict[int, list[PartCard]] = {}
    for *columns, group in GROUPS.rows(part_ids) if part_ids else ():
        groups.setdefault(group, []).append(PartCard(*columns))
    return {
        card.id: tuple(other for other in members if other is not card)
        for members in groups.values()
        for card in members
    }
