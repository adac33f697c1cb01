"""Reads of the catalogue: rows into rules values, each question in a constant number of statements."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, Q

from catalog.cards import Candidate, FamilyCard, OfferCard, PartCard, PositionCard
from catalog.models import (
    Application,
    ApplicationOption,
    EngineFamily,
    EngineOption,
    Offer,
    Part,
    Position,
    PriceBreak,
    Replacement,
)
from catalog.rules.fitment import Rule
from catalog.rules.replacement import Replacement as ReplacementRule
from catalog.rules.serial import SerialScheme


def family_cards(codes: Collection[str] | None = None) -> dict[str, FamilyCard]:
    """Engine families by code; all of them for None. Four statements."""
    families = EngineFamily.objects.select_related("serial_scheme").prefetch_related(
        Prefetch("positions", Position.objects.select_related("bank").order_by("ordinal")),
        Prefetch("options", EngineOption.objects.prefetch_related("values")),
    )
    if codes is not None:
        families = families.filter(code__in=codes)
    return {family.code: _family_card(family) for family in families}


def family_card(code: str) -> FamilyCard | None:
    return family_cards([code]).get(code)


def _family_card(family: EngineFamily) -> FamilyCard:
    scheme = family.serial_scheme
    return FamilyCard(
        code=family.code,
        name=family.name,
        cylinders=family.cylinders,
        scheme=SerialScheme.stored(scheme.code, tuple(scheme.prefixes.split()), scheme.digits)
        if scheme
        else None,
        option_names={option.code: option.name for option in family.options.all()},
        option_values={
            option.code: tuple(v.value for v in option.values.all()) for option in family.options.all()
        },
        positions=tuple(
            PositionCard(p.code, p.scope, p.bank.code if p.bank else None) for p in family.positions.all()
        ),
    )


def part_card(part: Part) -> PartCard:
    """Needs `brand` and `part_type` selected with the part."""
    return PartCard(
        id=part.pk,
        brand=part.brand.code,
        brand_name=part.brand.name,
        number=part.number,
        part_type=part.part_type.code,
        type_name=part.part_type.name,
        description=part.description,
        grade=part.grade,
        list_price=part.list_price,
        list_currency=part.list_currency,
        controls=part.part_type.controls,
    )


def part_cards(ids: Collection[int]) -> dict[int, PartCard]:
    parts = Part.objects.filter(pk__in=ids).select_related("brand", "part_type")
    return {part.pk: part_card(part) for part in parts}


# Plain columns, not model instances: these two reads carry hundreds of rows on every estimate.
PART_COLUMNS = (
    "part__id", "part__brand__code", "part__brand__name", "part__number", "part__part_type__code",
    "part__part_type__name", "part__description", "part__grade", "part__list_price", "part__list_currency",
    "part__part_type__controls",
)  # fmt: skip
RULE_COLUMNS = (
    "polarity", "scope", "position__code", "quantity", "built_from", "built_until", "serial_from",
    "serial_until",
)  # fmt: skip


def _candidates(which: Q) -> Iterable[Candidate]:
    options: dict[int, tuple[tuple[str, str], ...]] = defaultdict(tuple)
    conditions = ApplicationOption.objects.filter(application__in=Application.objects.filter(which))
    for row, *pair in conditions.order_by("pk").values_list("application_id", "option__code", "value"):
        options[row] = (*options[row], (pair[0], pair[1]))
    rows: Any = (
        Application.objects.filter(which)
        .order_by("family_id", "part_id", "ordinal")
        .values_list("id", "family__code", "ordinal", *RULE_COLUMNS, *PART_COLUMNS)
    )
    grouped: dict[tuple[str, int], list[Rule]] = defaultdict(list)
    cards: dict[int, PartCard] = {}
    for key, family, ordinal, *rest in rows:
        columns = rest[: len(RULE_COLUMNS)]
        part_id = rest[len(RULE_COLUMNS)]
        card = cards.get(part_id)
        if card is None:
            card = cards[part_id] = PartCard(*rest[len(RULE_COLUMNS) :])
        name = f"{card.brand}/{card.number}/{family}/{ordinal}"
        grouped[family, part_id].append(_rule(name, card.number, family, columns, options[key]))
    for (_, part_id), rules in grouped.items():
        yield Candidate(cards[part_id], tuple(rules))


def _rule(
    name: str, part: str, family: str, columns: list[Any], options: tuple[tuple[str, str], ...]
) -> Rule:
    polarity, scope, position, quantity, built_from, built_until, serial_from, serial_until = columns
    return Rule.stored(
        name, part, family, polarity, scope, position, quantity, built_from, built_until,
        serial_from or None, serial_until or None, options,
    )  # fmt: skip


def candidates(family: str, part_types: Collection[str]) -> dict[str, tuple[Candidate, ...]]:
    """By part type, every part that any rule of this family speaks of. Two statements."""
    found: dict[str, list[Candidate]] = {code: [] for code in part_types}
    for candidate in _candidates(Q(family__code=family, part_type__code__in=part_types)):
        found[candidate.part.part_type].append(candidate)
    return {code: tuple(items) for code, items in found.items()}


def rules_of_parts(
    part_ids: Collection[int], families: Collection[str]
) -> dict[tuple[int, str], tuple[Rule, ...]]:
    """By (part id, family), the rules of the pair; pairs without any are left out. Two statements."""
    found = _candidates(Q(part_id__in=part_ids, family__code__in=families))
    return {(candidate.part.id, candidate.rules[0].family): candidate.rules for candidate in found}


def offers_on(part_ids: Collection[int], day: date) -> dict[int, tuple[OfferCard, ...]]:
    """By part id, the offers valid on `day` from suppliers that are not blocked. Two statements."""
    valid = Offer.objects.filter(part_id__in=part_ids, supplier__blocked=False, valid_from__lte=day).filter(
        Q(valid_until__isnull=True) | Q(valid_until__gte=day)
    )
    breaks: dict[int, tuple[tuple[int, Decimal], ...]] = defaultdict(tuple)
    steps = PriceBreak.objects.filter(offer__in=valid.values("id")).order_by("offer_id", "quantity_from")
    for offer_id, quantity, price in steps.values_list("offer_id", "quantity_from", "price"):
        breaks[offer_id] = (*breaks[offer_id], (quantity, price))
    rows: Any = valid.order_by("part_id", "supplier__code", "-valid_from").values_list(*OFFER_COLUMNS)
    found: dict[int, list[OfferCard]] = defaultdict(list)
    seen: set[tuple[int, str]] = set()
    for offer_id, part_id, supplier, name, currency, price, *rest in rows:
        if (part_id, supplier) in seen:
            continue  # a newer offer of the same supplier stands in front of this one
        seen.add((part_id, supplier))
        found[part_id].append(
            OfferCard(offer_id, part_id, supplier, name, currency, price, breaks[offer_id], *rest)
        )
    return {part_id: tuple(offers) for part_id, offers in found.items()}


OFFER_COLUMNS = (
    "id", "part_id", "supplier__code", "supplier__name", "supplier__currency", "price", "pack",
    "minimum_quantity", "deposit", "lead_days", "valid_from", "valid_until", "supplier_number",
    "supplier__freight", "supplier__free_freight_from", "supplier__stale_after_days",
)  # fmt: skip


# Old leads to new, and back where the two serve alike; the database follows the chains to their ends.
REACHED = """
WITH RECURSIVE reach(id) AS (
    SELECT id FROM catalog_part WHERE id IN ({parts})
    UNION
    SELECT edge.there FROM reach JOIN (
        SELECT old_id AS here, new_id AS there FROM catalog_replacement
        UNION ALL
        SELECT new_id, old_id FROM catalog_replacement WHERE both_ways
    ) edge ON edge.here = reach.id
)
SELECT id, old_id, new_id, choice, quantity, both_ways, valid_from FROM catalog_replacement
WHERE old_id IN (SELECT id FROM reach) OR (both_ways AND new_id IN (SELECT id FROM reach))
ORDER BY id
"""


def replacements_from(part_ids: Collection[int]) -> tuple[ReplacementRule, ...]:
    """Every replacement reachable from these parts, as rules over part ids written as text. One statement."""
    if not part_ids:
        return ()
    places = ", ".join(["%s"] * len(part_ids))
    rows = Replacement.objects.raw(REACHED.format(parts=places), list(part_ids))
    return tuple(
        ReplacementRule(
            old=str(row.old_id),
            new=str(row.new_id),
            choice=row.choice,
            quantity=row.quantity,
            both_ways=row.both_ways,
            valid_from=row.valid_from,
        )
        for row in rows
    )
