"""The application rules of a family, with the parts they speak of: the rows every verdict rests on."""

from collections.abc import Collection, Iterable, Iterator, Mapping

from catalog.cards import Candidate, PartCard
from catalog.hot import parts
from catalog.rules.fitment import Rule
from shop.statement import Row, Statement, Together

# The option of a rule stands beside it: a rule that asks for two options comes as two rows.
RULES = (
    "x.id, f.code, a.ordinal, a.polarity, a.scope, c.code, a.quantity, {plain}a.built_from, "
    "{plain}a.built_until, "
    "a.serial_from, a.serial_until, e.code, x.value"
)
WIDTH = 13  # of RULES; the columns of the part follow
LIMITS = """
LEFT JOIN catalog_position c ON c.id = a.position_id
LEFT JOIN catalog_applicationoption x ON x.application_id = a.id
LEFT JOIN catalog_engineoption e ON e.id = x.option_id
"""
BESIDE = f"""
JOIN catalog_part p ON p.id = a.part_id
JOIN catalog_brand b ON b.id = p.brand_id
{LIMITS}
"""
ORDER = "ORDER BY f.id, p.id, a.ordinal, x.id"
AMOUNTS, TRUTHS, DAYS = [WIDTH + parts.PRICE_AT], [WIDTH + parts.CONTROLS_AT], [7, 8]

# Pair by pair through the index made for it: asked for two lists, PostgreSQL would read all of a family's
# rows or all of a type's, and OFFSET 0 keeps it from undoing this.
BY_TYPE = {
    "postgresql": {
        "pairs": "unnest(%s::text[], %s::text[]) q(family, kind) "
        "JOIN catalog_enginefamily f ON f.code = q.family "
        "JOIN catalog_parttype t ON t.code = q.kind CROSS JOIN LATERAL (SELECT * FROM catalog_application "
        "WHERE family_id = f.id AND part_type_id = t.id OFFSET 0) a",
    },
    "sqlite": {
        "pairs": "json_each(%s) q "
        "CROSS JOIN catalog_enginefamily f ON f.code = json_extract(q.value, '$[0]') "
        "CROSS JOIN catalog_parttype t ON t.code = json_extract(q.value, '$[1]') "
        "CROSS JOIN catalog_application a ON a.family_id = f.id AND a.part_type_id = t.id",
    },
}
BY_PART = {
    "postgresql": {
        "pairs": "unnest(%s::bigint[], %s::text[]) q(part, family) "
        "JOIN catalog_enginefamily f ON f.code = q.family "
        "CROSS JOIN LATERAL (SELECT * FROM catalog_application WHERE part_id = q.part AND family_id = f.id "
        "OFFSET 0) a",
    },
    "sqlite": {
        "pairs": "json_each(%s) q "
        "CROSS JOIN catalog_enginefamily f ON f.code = json_extract(q.value, '$[1]') "
        "CROSS JOIN catalog_application a "
        "ON a.part_id = json_extract(q.value, '$[0]') AND a.family_id = f.id",
    },
}
OF_TYPES = Statement(
    f"SELECT {RULES}, {parts.COLUMNS} FROM {{pairs}} {BESIDE} {ORDER}",
    BY_TYPE,
    amounts=AMOUNTS,
    days=DAYS,
    truths=TRUTHS,
)
# Of parts that are known already: no more of them than names a rule.
OF_PARTS = Statement(
    f"SELECT {RULES}, p.id, b.code, b.name, p.number FROM {{pairs}} {BESIDE} {ORDER}", BY_PART, days=DAYS
)
OF_CARDS = Statement(
    f"SELECT {RULES}, a.part_id FROM {{pairs}} {LIMITS} ORDER BY f.id, a.part_id, a.ordinal, x.id",
    BY_PART,
    days=DAYS,
)


def candidates(family: str, part_types: Collection[str]) -> dict[str, tuple[Candidate, ...]]:
    """By part type, every part that any rule of this family speaks of. One statement."""
    found = candidates_of({(family, code) for code in part_types})
    return {code: found.get((family, code), ()) for code in part_types}


def candidates_of(pairs: Collection[tuple[str, str]]) -> dict[tuple[str, str], tuple[Candidate, ...]]:
    """By (family, part type), every part that any rule of the family speaks of; pairs without any are left
    out. One statement."""
    if not pairs:
        return {}
    found: dict[tuple[str, str], list[Candidate]] = {}
    for candidate in grouped(OF_TYPES.rows(Together(pairs))):
        key = (candidate.rules[0].family, candidate.part.part_type)
        found.setdefault(key, []).append(candidate)
    return {key: tuple(of_pair) for key, of_pair in found.items()}


def rules_of_parts(
    part_ids: Collection[int], families: Collection[str]
) -> dict[tuple[int, str], tuple[Rule, ...]]:
    """By (part id, family), the rules of the pair; pairs without any are left out. One statement."""
    pairs = [(part, family) for part in part_ids for family in families]
    found = by_part(OF_PARTS.rows(Together(pairs))) if pairs else ()
    return {(of_part[0][WIDTH], of_part[0][1]): tuple(rules(of_part)) for of_part in found}


def rules_of(
    pairs: Collection[tuple[int, str]], cards: Mapping[int, PartCard]
) -> dict[tuple[int, str], tuple[Rule, ...]]:
    """As `rules_of_parts`, for these pairs of part id and family only. `cards` has every part of them, which
    spares the database bringing them once more. One statement."""
    found: dict[tuple[int, str], tuple[Rule, ...]] = {}
    for of_part in by_part(OF_CARDS.rows(Together(pairs))) if pairs else ():
        card = cards[of_part[0][WIDTH]]
        found[card.id, of_part[0][1]] = tuple(_rules(of_part, card.brand, card.number))
    return found


def grouped(rows: Iterable[Row]) -> Iterator[Candidate]:
    """Rows in the order of ORDER, as one candidate for each family and part."""
    cards: dict[int, PartCard] = {}
    for of_part in by_part(rows):
        part = of_part[0][WIDTH]
        card = cards.get(part)
        if card is None:
            card = cards[part] = PartCard(*of_part[0][WIDTH:])
        yield Candidate(card, tuple(rules(of_part)))


def by_part(rows: Iterable[Row]) -> Iterable[list[Row]]:
    """Rows of one family and part together."""
    pairs: dict[tuple[str, int], list[Row]] = {}
    for row in rows:
        key = (row[1], row[WIDTH])
        if key in pairs:
            pairs[key].append(row)
        else:
            pairs[key] = [row]
    return pairs.values()


def rules(rows: list[Row]) -> Iterator[Rule]:
    """The rules of one part for one family; behind the columns of the rules those of its card."""
    return _rules(rows, rows[0][WIDTH + 1], rows[0][WIDTH + 3]) if rows else iter(())


def _rules(rows: list[Row], brand: str, number: str) -> Iterator[Rule]:
    before = None
    for row in rows:
        if row[2] == before:
            continue  # another option of the same rule
        before = row[2]
        _, family, ordinal, polarity, scope, position, quantity, built_from, built_until = row[:9]
        options = () if row[11] is None else tuple((r[11], r[12]) for r in rows if r[2] == before)
        yield Rule.stored(
            f"{brand}/{number}/{family}/{ordinal}", number, family, polarity, scope, position, quantity,
            built_from, built_until, row[9] or None, row[10] or None, options,
        )  # fmt: skip
