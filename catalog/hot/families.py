"""Engine families with positions, options and serial scheme: everything a question about an engine needs."""

from collections.abc import Collection, Iterable
from typing import Any

from catalog.cards import FamilyCard, PositionCard
from catalog.rules.serial import SerialScheme
from shop.statement import Statement

# One statement of three kinds of rows, told apart by their first column.
CARDS = """
SELECT 1, f.code, f.name, s.code, s.prefixes, f.cylinders, s.digits
FROM catalog_enginefamily f LEFT JOIN catalog_serialscheme s ON s.id = f.serial_scheme_id WHERE f.code {texts}
UNION ALL
SELECT 2, f.code, p.code, p.scope, b.code, p.ordinal, NULL
FROM catalog_enginefamily f JOIN catalog_position p ON p.family_id = f.id
LEFT JOIN catalog_position b ON b.id = p.bank_id WHERE f.code {texts}
UNION ALL
SELECT 3, f.code, o.code, o.name, v.value, NULL, NULL
FROM catalog_enginefamily f JOIN catalog_engineoption o ON o.family_id = f.id
LEFT JOIN catalog_engineoptionvalue v ON v.option_id = o.id WHERE f.code {texts}
"""
SOME = Statement(CARDS)
ALL = Statement(CARDS.replace(" WHERE f.code {texts}", ""))
FAMILY, POSITION, OPTION = 1, 2, 3


def family_cards(codes: Collection[str] | None = None) -> dict[str, FamilyCard]:
    """Engine families by code; all of them for None. One statement."""
    return _cards(ALL.rows() if codes is None else SOME.rows(*[list(codes)] * 3))


def family_card(code: str) -> FamilyCard | None:
    return family_cards([code]).get(code)


def _cards(rows: Iterable[tuple[Any, ...]]) -> dict[str, FamilyCard]:
    families: dict[str, tuple[Any, ...]] = {}
    positions: dict[str, list[tuple[Any, ...]]] = {}
    options: dict[str, list[tuple[Any, ...]]] = {}
    for kind, code, *rest in rows:
        if kind == FAMILY:
            families[code] = tuple(rest)
        else:
            (positions if kind == POSITION else options).setdefault(code, []).append(tuple(rest))
    return {
        code: _card(code, families[code], positions.get(code, []), options.get(code, []))
        for code in sorted(families)
    }


def _card(
    code: str, family: tuple[Any, ...], positions: list[tuple[Any, ...]], options: list[tuple[Any, ...]]
) -> FamilyCard:
    name, scheme, prefixes, cylinders, digits = family
    names: dict[str, str] = {}
    values: dict[str, list[str]] = {}
    for option, told, value, *_ in sorted(options, key=lambda row: (row[0], row[2] or "")):
        names[option] = told
        values.setdefault(option, []).extend([] if value is None else [value])
    return FamilyCard(
        code=code,
        name=name,
        cylinders=cylinders,
        scheme=None if scheme is None else SerialScheme.stored(scheme, tuple(prefixes.split()), digits),
        option_names=names,
        option_values={option: tuple(listed) for option, listed in values.items()},
        positions=tuple(
            PositionCard(place, scope, bank)
            for place, scope, bank, *_ in sorted(positions, key=lambda row: (row[3], row[0]))
        ),
    )
