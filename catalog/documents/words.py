"""Sentences that every document of the catalogue carries, on a page, on paper and in a file."""

from decimal import Decimal
from typing import Any

from catalog.spec_cards import SpecCard, symbol_of
from shop.models import Workshop

Json = dict[str, Any]
DEMONSTRATION = "Demonstration data, not for real work"
CAUTION = (
    "The maker's manual and local rules come first: compare every value with the manual of the engine at "
    "hand before working to it. Work that the law keeps for a licensed person is done by one."
)


def is_demonstration() -> bool:
    return Workshop.objects.filter(demonstration=True).exists()


def _text(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def stated(card: SpecCard, also: bool) -> Json:
    """One value as plain JSON: numbers as text with their decimals, null for what is not stated.

    `also` gives it in the customary other unit too, where it has one, with its significant digits kept.
    """
    minimum, nominal, maximum = (_text(value) for value in card.limits)
    return {
        "property": card.code,
        "name": card.name,
        "unit": card.unit,
        "symbol": card.symbol,
        "minimum": minimum,
        "nominal": nominal,
        "maximum": maximum,
        "text": card.text,
        "figure": card.figure,
        "also": _also(card) if also and card.customary else None,
        "condition": card.words,
        "temperature_min": _text(card.temperature_min),
        "temperature_max": _text(card.temperature_max),
        "temperature": card.temperature,
        "temperature_also": card.temperature_in("[degF]") if also else "",
        "source": card.source_code,
        "source_title": card.source,
        "verified": card.verified,
        "standing": card.standing,
    }


def _also(card: SpecCard) -> Json:
    minimum, nominal, maximum = (_text(value) for value in card.limits_in(card.customary))
    return {
        "unit": card.customary,
        "symbol": symbol_of(card.customary),
        "minimum": minimum,
        "nominal": nominal,
        "maximum": maximum,
        "figure": card.figure_in(card.customary),
    }
