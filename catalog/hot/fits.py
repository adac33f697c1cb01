"""Which parts of a type fit this engine, each with the cheapest offer that holds on the day.

Two statements, and one more where the parts have others that serve alike. A part whose rules limit nothing is
known to fit without weighing anything; every other part is judged by the rules of fitment.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.cards import FamilyCard, OfferCard, PartCard, PositionCard
from catalog.hot import parts
from catalog.hot.listed import BESIDE, RULES, WIDTH, by_part, rules
from catalog.hot.offers import offers_on
from catalog.hot.statement import Statement
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.interchange import judge_with_interchange
from catalog.rules.verdict import Verdict

GROUP = WIDTH + 11  # the interchange group of the part, behind the columns of its card
OF_TYPE = Statement(
    f"SELECT {RULES}, {parts.COLUMNS}, m.group_id FROM {{pair}} {BESIDE} "
    "LEFT JOIN catalog_interchangemember m ON m.part_id = p.id "
    "WHERE f.code = %s AND t.code = %s ORDER BY p.id, a.ordinal, x.id",
    {WIDTH + parts.PRICE_AT: 4},
    {
        "postgresql": {
            "pair": "catalog_enginefamily f CROSS JOIN catalog_parttype t CROSS JOIN LATERAL (SELECT * FROM "
            "catalog_application WHERE family_id = f.id AND part_type_id = t.id OFFSET 0) a",
        },
        "sqlite": {
            "pair": "catalog_enginefamily f CROSS JOIN catalog_parttype t "
            "CROSS JOIN catalog_application a ON a.family_id = f.id AND a.part_type_id = t.id",
        },
    },
)
MEMBERS = Statement(
    f"SELECT {parts.COLUMNS}, m.group_id FROM catalog_interchangemember m "
    f"JOIN catalog_part p ON p.id = m.part_id {parts.JOINS} WHERE m.group_id {{numbers}} ORDER BY p.id",
    {parts.PRICE_AT: 4},
)
Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Fitting:
    """A part that fits. `quantity` is per position, None where its rules give several. `offers` has the
    cheapest offer of each currency for the pieces asked for, in the order of the currencies' codes: amounts
    of two currencies are not compared. `alike` names the parts whose applications were lent to it."""

    part: PartCard
    quantity: int | None
    offers: tuple[tuple[OfferCard, Decimal], ...]
    alike: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Undecided:
    """A part of which it cannot be told yet, with the verdict that says why and what is missing."""

    part: PartCard
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class FittingParts:
    fitting: tuple[Fitting, ...]
    undecided: tuple[Undecided, ...]


def fitting(
    family: FamilyCard,
    part_type: str,
    facts: UnitFacts,
    day: date,
    quantity: int = 1,
    position: PositionCard | None = None,
) -> FittingParts:
    """Parts of the type that fit the engine, and those that may, in the order of their ids. Costs are without
    tax, freight and deposit, for at least `quantity` pieces in whole packs."""
    shelves = {rows[0][WIDTH]: rows for rows in by_part(OF_TYPE.rows(family.code, part_type))}
    own = {part: PartCard(*rows[0][WIDTH:GROUP]) for part, rows in shelves.items()}
    lenders = _lenders(shelves, own) if any(rows[0][GROUP] for rows in shelves.values()) else {}
    fit: dict[int, tuple[int | None, tuple[str, ...]]] = {}
    undecided = []
    for part, card in sorted(own.items()) if lenders else own.items():
        rows = shelves.get(part, [])
        known = plainly(rows, position)
        if known is not None:
            fit[part] = (known, ())
            continue
        verdict = _judged(tuple(rules(rows)), lenders.get(part, {}), family, facts, position)
        if verdict.outcome == "fits":
            fit[part] = (verdict.quantity, verdict.by_interchange)
        elif verdict.outcome == "cannot tell":
            undecided.append(Undecided(card, verdict))
    offers = offers_on(fit, day)
    found = tuple(
        Fitting(own[part], pieces, cheapest(offers.get(part, ()), quantity), alike)
        for part, (pieces, alike) in fit.items()
    )
    return FittingParts(found, tuple(undecided))


def plainly(rows: Sequence[Row], position: PositionCard | None) -> int | None:
    """How many per position of a part that fits whatever is known: every rule applies it, at every place,
    without a limit, in one number. None where that is not so plain."""
    if not rows:
        return None
    quantity: int = rows[0][6]
    for row in rows:
        plain = row[3] == "applies" and row[6] == quantity and row[5] is row[7] is row[8] is row[11] is None
        if not plain or row[9] or row[10] or (position is not None and row[4] != position.scope):
            return None
    return quantity


def _judged(
    own: Sequence[Rule],
    lenders: dict[str, tuple[Rule, ...]],
    family: FamilyCard,
    facts: UnitFacts,
    position: PositionCard | None,
) -> Verdict:
    return judge_with_interchange(
        own,
        lenders,
        facts,
        family.scheme,
        position=position.code if position else None,
        scope=position.scope if position else None,
        option_names=family.option_names,
        bank_of=family.bank_of,
    )


def _lenders(
    shelves: dict[int, list[Row]], own: dict[int, PartCard]
) -> dict[int, dict[str, tuple[Rule, ...]]]:
    """By part, the rules of the others in its interchange group; `own` gains the members without any rule."""
    groups: dict[int, list[int]] = {}
    for row in MEMBERS.rows({rows[0][GROUP] for rows in shelves.values() if rows[0][GROUP]}):
        own.setdefault(row[0], PartCard(*row[:-1]))
        groups.setdefault(row[-1], []).append(row[0])
    found: dict[int, dict[str, tuple[Rule, ...]]] = {}
    for members in groups.values():
        of_member = {part: tuple(rules(shelves.get(part, []))) for part in members}
        for part in members:
            found[part] = {own[other].label: of_member[other] for other in members if other != part}
    return found


def cheapest(offers: Iterable[OfferCard], quantity: int) -> tuple[tuple[OfferCard, Decimal], ...]:
    """Of each currency the offer that costs least for these pieces; of equal ones the sooner."""
    best: dict[str, tuple[Decimal, int, str, OfferCard]] = {}
    for offer in offers:
        entry = (offer.cost(quantity), offer.lead_days, offer.supplier, offer)
        held = best.get(offer.currency)
        if held is None or entry[:3] < held[:3]:
            best[offer.currency] = entry
    return tuple((entry[3], entry[0]) for _, entry in sorted(best.items()))
