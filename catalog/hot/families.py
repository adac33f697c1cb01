"""Engine families with positions, options and serial scheme: everything a question about an engine needs."""

import json
from collections.abc import Collection
from typing import Any

from catalog.cards import FamilyCard, PositionCard
from catalog.rules.serial import SerialScheme
from shop.statement import Row, Statement

# One row a family: what there are several of comes as one JSON text, made and read many times faster than a
# row for each of them.
OPTIONS = (
    "(SELECT {listed}({together}(o.code, o.name, v.value)){text} FROM catalog_engineoption o "
    "LEFT JOIN catalog_engineoptionvalue v ON v.option_id = o.id WHERE o.family_id = f.id)"
)
POSITIONS = (
    "(SELECT {listed}({together}(p.ordinal, p.code, p.scope, b.code)){text} FROM catalog_position p "
    "LEFT JOIN catalog_position b ON b.id = p.bank_id WHERE p.family_id = f.id)"
)
CARDS = (
    "SELECT f.code, f.name, f.cylinders, s.code, s.prefixes, s.digits, {options}, {positions} "
    "FROM catalog_enginefamily f LEFT JOIN catalog_serialscheme s ON s.id = f.serial_scheme_id"
)
JSON = {
    "postgresql": {"listed": "json_agg", "together": "json_build_array", "text": "::text"},
    "sqlite": {"listed": "json_group_array", "together": "json_array", "text": ""},
}
WHOLE = CARDS.replace("{options}", OPTIONS).replace("{positions}", POSITIONS)
ALL = Statement(WHOLE, JSON)
SOME = Statement(f"{WHOLE} WHERE f.code {{texts}}", JSON)
WITHOUT_POSITIONS = Statement(
    CARDS.replace("{options}", OPTIONS).replace("{positions}", "NULL") + " WHERE f.code {texts}", JSON
)


def family_cards(codes: Collection[str] | None = None) -> dict[str, FamilyCard]:
    """Engine families by code; all of them for None. One statement."""
    return _cards(ALL.raw() if codes is None else SOME.raw(codes))


def without_positions(codes: Collection[str]) -> dict[str, FamilyCard]:
    """As `family_cards`, with no positions on the cards: for a question that is about no place. One
    statement."""
    return _cards(WITHOUT_POSITIONS.raw(codes)) if codes else {}


def family_card(code: str) -> FamilyCard | None:
    return family_cards([code]).get(code)


def _cards(rows: list[Row]) -> dict[str, FamilyCard]:
    return {row[0]: _card(*row) for row in sorted(rows)}


def _card(
    code: str,
    name: str,
    cylinders: int,
    scheme: str | None,
    prefixes: str,
    digits: int,
    options: str | None,
    positions: str | None,
) -> FamilyCard:
    names: dict[str, str] = {}
    values: dict[str, tuple[str, ...]] = {}
    for option, told, value in _sorted(options):
        names[option] = told
        values[option] = values.get(option, ()) + (() if value is None else (value,))
    return FamilyCard(
        code=code,
        name=name,
        cylinders=cylinders,
        scheme=None if scheme is None else SerialScheme.stored(scheme, tuple(prefixes.split()), digits),
        option_names=names,
        option_values=values,
        positions=tuple([PositionCard(place, scope, bank) for _, place, scope, bank in _sorted(positions)]),
    )


def _sorted(text: str | None) -> list[Any]:
    """By ordinal and code, or by code and value: no two are alike in both, and only one may have no value."""
    return sorted(json.loads(text)) if text else []
