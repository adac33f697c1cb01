"""Reads of the catalogue: rows into rules values, each question in a constant number of statements.

The statements themselves are written in catalog/hot/, by subject.
"""

from catalog.cards import PartCard
from catalog.hot.families import family_card, family_cards
from catalog.hot.listed import candidates, candidates_of, rules_of, rules_of_parts
from catalog.hot.offers import every_offer_on, offers_on, on_the_shelf
from catalog.hot.parts import part_cards, parts_by_number
from catalog.hot.replaced import replacements_from
from catalog.models import Part

__all__ = [
    "candidates",
    "candidates_of",
    "every_offer_on",
    "family_card",
    "family_cards",
    "offers_on",
    "on_the_shelf",
    "part_card",
    "part_cards",
    "parts_by_number",
    "replacements_from",
    "rules_of",
    "rules_of_parts",
]


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
