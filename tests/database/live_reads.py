"""The reads of the catalogue once more, as live query sets: slow and plain, to compare catalog.hot with."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date
from typing import Any

from django.db.models import Prefetch, Q

from catalog.cards import Candidate, FamilyCard, OfferCard, PartCard, PositionCard
from catalog.models import Application, EngineFamily, EngineOption, Offer, Part, Position, Replacement
from catalog.offers.standing import confirmed_on
from catalog.queries import part_card
from catalog.rules.fitment import Rule
from catalog.rules.replacement import Replacement as ReplacementRule
from catalog.rules.serial import SerialScheme


def family_cards(codes: Collection[str] | None = None) -> dict[str, FamilyCard]:
    families = EngineFamily.objects.select_related("serial_scheme").prefetch_related(
        Prefetch("positions", Position.objects.select_related("bank").order_by("ordinal", "code")),
        Prefetch("options", EngineOption.objects.prefetch_related("values")),
    )
    if codes is not None:
        families = families.filter(code__in=codes)
    return {family.code: _family_card(family) for family in families}


def _family_card(family: EngineFamily) -> FamilyCard:
    scheme = family.serial_scheme
    options = family.options.all()
    return FamilyCard(
        code=family.code,
        name=family.name,
        cylinders=family.cylinders,
        scheme=scheme and SerialScheme.stored(scheme.code, tuple(scheme.prefixes.split()), scheme.digits),
        option_names={option.code: option.name for option in options},
        option_values={option.code: tuple(v.value for v in option.values.all()) for option in options},
        positions=tuple(
            PositionCard(p.code, p.scope, p.bank.code if p.bank else None) for p in family.positions.all()
        ),
    )


def part_cards(ids: Collection[int]) -> dict[int, PartCard]:
    rows = Part.objects.filter(pk__in=ids).select_related("brand", "part_type")
    return {part.pk: part_card(part) for part in rows}


def parts_by_number(keys: Collection[tuple[str, str]]) -> dict[tuple[str, str], PartCard]:
    rows = Part.objects.select_related("brand", "part_type")
    found = {(row.brand.code, row.normalised): part_card(row) for row in rows}
    return {key: card for key, card in found.items() if key in keys}


def _candidates(which: Q) -> list[Candidate]:
    rows = (
        Application.objects.filter(which)
        .select_related("part__brand", "part__part_type", "family", "position")
        .prefetch_related("options__option")
        .order_by("family_id", "part_id", "ordinal")
    )
    grouped: dict[tuple[str, int], list[Rule]] = defaultdict(list)
    cards: dict[int, PartCard] = {}
    for row in rows:
        part, family = row.part, row.family.code
        cards[part.pk] = part_card(part)
        pairs = sorted(row.options.all(), key=lambda option: option.pk)
        grouped[family, part.pk].append(
            Rule.stored(
                f"{part.brand.code}/{part.number}/{family}/{row.ordinal}", part.number, family, row.polarity,
                row.scope, row.position.code if row.position else None, row.quantity, row.built_from,
                row.built_until, row.serial_from or None, row.serial_until or None,
                tuple((pair.option.code, pair.value) for pair in pairs),
            )
        )  # fmt: skip
    return [Candidate(cards[part], tuple(rules)) for (_, part), rules in grouped.items()]


def candidates(family: str, part_types: Collection[str]) -> dict[str, tuple[Candidate, ...]]:
    found = _candidates(Q(family__code=family, part_type__code__in=part_types))
    return {code: tuple(c for c in found if c.part.part_type == code) for code in part_types}


def rules_of_parts(ids: Collection[int], families: Collection[str]) -> dict[tuple[int, str], Any]:
    found = _candidates(Q(part_id__in=ids, family__code__in=families))
    return {(candidate.part.id, candidate.rules[0].family): candidate.rules for candidate in found}


def offers_on(part_ids: Collection[int], day: date, **which: Any) -> dict[int, tuple[OfferCard, ...]]:
    which = which or {"supplier__blocked": False}
    valid = Offer.objects.filter(part_id__in=part_ids, valid_from__lte=day, **which).filter(
        Q(valid_until__isnull=True) | Q(valid_until__gte=day)
    )
    rows = valid.select_related("supplier").prefetch_related("breaks")
    found: dict[int, dict[str, OfferCard]] = defaultdict(dict)
    for o in rows.order_by("part_id", "supplier__code", "-valid_from"):
        s = o.supplier
        breaks = sorted((b.quantity_from, b.price) for b in o.breaks.all())
        card = OfferCard(
            o.pk, o.part_id, s.code, s.name, s.currency, o.price, tuple(breaks), o.pack, o.minimum_quantity,
            o.deposit, o.lead_days, o.valid_from, o.valid_until, o.supplier_number, s.freight,
            s.free_freight_from, s.stale_after_days, confirmed_on(s), s.preferred, s.blocked,
        )  # fmt: skip
        found[o.part_id].setdefault(s.code, card)
    return {part: tuple(cards.values()) for part, cards in found.items()}


def replacements() -> tuple[ReplacementRule, ...]:
    return tuple(
        ReplacementRule(str(r.old_id), str(r.new_id), r.choice, r.quantity, r.both_ways, r.valid_from)
        for r in Replacement.objects.order_by("pk")
    )
