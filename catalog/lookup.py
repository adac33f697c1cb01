"""What the counter looks up beside fitment: parts by number, near numbers, what serves alike."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q

from catalog.cards import PartCard
from catalog.models import Application, EngineFamily, InterchangeMember, Part, PartType
from catalog.queries import part_card
from catalog.rules.nearnumber import one_slip_away
from catalog.rules.partnumber import normalise

NEAR_AT_MOST = 12
PREFIX_AT_LEAST = 3


@dataclass(frozen=True)
class Named:
    """A code with its name, for a list to choose from."""

    code: str
    name: str


def families_named() -> list[Named]:
    rows = EngineFamily.objects.order_by("name").values_list("code", "name")
    return [Named(*row) for row in rows]


def part_types_named() -> list[Named]:
    return [Named(*row) for row in PartType.objects.order_by("name").values_list("code", "name")]


def parts_numbered(number: str) -> list[PartCard]:
    """Every brand's part of this number, in any spelling; Refused for a number of nothing. One statement."""
    rows = Part.objects.filter(normalised=normalise(number)).select_related("brand", "part_type")
    return [part_card(row) for row in rows.order_by("brand__name")]


def parts_near(number: str) -> list[PartCard]:
    """Parts whose number begins like this one or is one slip of the finger away. One statement."""
    compact = normalise(number)
    near = Q(normalised__in=one_slip_away(compact))
    if len(compact) >= PREFIX_AT_LEAST:
        near |= Q(normalised__startswith=compact)
    rows = Part.objects.filter(near).select_related("brand", "part_type")
    return [part_card(row) for row in rows.order_by("normalised", "brand__name")[:NEAR_AT_MOST]]


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
