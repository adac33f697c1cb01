"""Reads of the catalogue: rows into rules values, each question in a constant number of statements."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date
from typing import cast

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
from catalog.rules.application import Scope
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
        scheme=SerialScheme(scheme.code, tuple(scheme.prefixes.split()), scheme.digits) if scheme else None,
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


def _rule(row: Application) -> Rule:
    return Rule(
        key=f"{row.part.brand.code}/{row.part.number}/{row.family.code}/{row.ordinal}",
        part=row.part.number,
        family=row.family.code,
        polarity="excludes" if row.polarity == "excludes" else "applies",
        scope=cast(Scope, row.scope),
        position=row.position.code if row.position else None,
        quantity=row.quantity,
        built_from=row.built_from,
        built_until=row.built_until,
        serial_from=row.serial_from or None,
        serial_until=row.serial_until or None,
        options=tuple((o.option.code, o.value) for o in row.options.all()),
    )


def _candidates(which: Q) -> Iterable[Candidate]:
    rows = (
        Application.objects.filter(which)
        .select_related("part__brand", "part__part_type", "family", "position")
        .prefetch_related(Prefetch("options", ApplicationOption.objects.select_related("option")))
        .order_by("family_id", "part_id", "ordinal")
    )
    grouped: dict[tuple[int, int], list[Application]] = defaultdict(list)
    for row in rows:
        grouped[row.family_id, row.part_id].append(row)
    for same in grouped.values():
        yield Candidate(part_card(same[0].part), tuple(_rule(row) for row in same))


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
    rows = (
        Offer.objects.filter(part_id__in=part_ids, supplier__blocked=False, valid_from__lte=day)
        .filter(Q(valid_until__isnull=True) | Q(valid_until__gte=day))
        .select_related("supplier")
        .prefetch_related(Prefetch("breaks", PriceBreak.objects.order_by("quantity_from")))
        .order_by("part_id", "supplier__code", "-valid_from")
    )
    found: dict[int, list[OfferCard]] = defaultdict(list)
    seen: set[tuple[int, int]] = set()
    for row in rows:
        if (row.part_id, row.supplier_id) in seen:
            continue  # a newer offer of the same supplier stands in front of this one
        seen.add((row.part_id, row.supplier_id))
        found[row.part_id].append(_offer_card(row))
    return {part_id: tuple(offers) for part_id, offers in found.items()}


def _offer_card(row: Offer) -> OfferCard:
    return OfferCard(
        id=row.pk,
        part_id=row.part_id,
        supplier=row.supplier.code,
        supplier_name=row.supplier.name,
        currency=row.supplier.currency,
        price=row.price,
        breaks=tuple((b.quantity_from, b.price) for b in row.breaks.all()),
        pack=row.pack,
        minimum_quantity=row.minimum_quantity,
        deposit=row.deposit,
        lead_days=row.lead_days,
        valid_from=row.valid_from,
        valid_until=row.valid_until,
        supplier_number=row.supplier_number,
        freight=row.supplier.freight,
        free_freight_from=row.supplier.free_freight_from,
    )


def replacements_from(part_ids: Collection[int]) -> tuple[ReplacementRule, ...]:
    """Every replacement reachable from these parts, as rules over part ids written as text.

    One statement a generation of the longest chain, never one a part.
    """
    found: dict[int, ReplacementRule] = {}
    frontier = set(part_ids)
    asked: set[int] = set()
    while frontier:
        asked |= frontier
        rows = Replacement.objects.filter(Q(old_id__in=frontier) | Q(new_id__in=frontier, both_ways=True))
        frontier = set()
        for row in rows:
            found[row.pk] = ReplacementRule(
                old=str(row.old_id),
                new=str(row.new_id),
                choice=row.choice,
                quantity=row.quantity,
                both_ways=row.both_ways,
                valid_from=row.valid_from,
            )
            frontier |= {row.old_id, row.new_id} - asked
    return tuple(found.values())


def offer_ends(offers: Mapping[int, tuple[OfferCard, ...]]) -> date | None:
    """The earliest end among these offers, None where none ends."""
    ends = [offer.valid_until for cards in offers.values() for offer in cards if offer.valid_until]
    return min(ends, default=None)
