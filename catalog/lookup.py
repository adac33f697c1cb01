"""What the counter looks up beside fitment: names to choose from, parts by number, what serves alike."""

from collections.abc import Collection
from dataclasses import dataclass

from catalog.cards import PartCard
from catalog.models import Application, EngineFamily, InterchangeMember, Part, PartType
from catalog.queries import part_card
from catalog.rules.partnumber import normalise


@dataclass(frozen=True)
class Named:
    """A code with its name, for a list to choose from."""

    code: str
    name: str


def families_named() -> list[Named]:
    return [Named(*row) for row in EngineFamily.objects.order_by("name").values_list("code", "name")]


def part_type_named(code: str) -> Named | None:
    row = PartType.objects.filter(code=code).values_list("code", "name").first()
    return Named(*row) if row else None


def parts_numbered(number: str, brand: str = "") -> list[PartCard]:
    """Every brand's part of this number, in any spelling, or the one brand's; Refused for a number of
    nothing. One statement."""
    rows = Part.objects.filter(normalised=normalise(number)).select_related("brand", "part_type")
    if brand:
        rows = rows.filter(brand__code=brand)
    return [part_card(row) for row in rows.order_by("brand__name")]


def alike(part_ids: Collection[int]) -> dict[int, tuple[PartCard, ...]]:
    """By part, the other parts of its interchange group. One statement."""
    members = InterchangeMember.objects.filter(group__members__part__in=part_ids)
    groups: dict[int, dict[int, PartCard]] = {}
    for row in members.select_related("part__brand", "part__part_type").order_by("part__brand__name"):
        groups.setdefault(row.group_id, {})[row.part_id] = part_card(row.part)
    return {
        own: tuple(card for other, card in group.items() if other != own)
        for group in groups.values()
        for own in group
        if own in part_ids
    }


def listed_for(part_ids: Collection[int]) -> dict[int, tuple[Named, ...]]:
    """By part, the engine families that some rule applies it to. One statement."""
    rows = (
        Application.objects.filter(part__in=part_ids, polarity=Application.Polarity.APPLIES)
        .order_by("family__name")
        .values_list("part_id", "family__code", "family__name")
        .distinct()
    )
    found: dict[int, list[Named]] = {}
    for part_id, code, name in rows:
        found.setdefault(part_id, []).append(Named(code, name))
    return {part_id: tuple(names) for part_id, names in found.items()}
