"""Which parts of a type fit this engine, each with the cheapest offer that holds on the day.

Two statements, and one more where the parts have others that serve alike. A part whose rules limit nothing is
known to fit without weighing anything; every other part is judged by the rules of fitment.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from operator import itemgetter
from typing import Any, NamedTuple

from catalog.cards import FamilyCard, PartCard, PositionCard
from catalog.hot import parts
from catalog.hot.cheapest import Cheapest, cheapest_on
from catalog.hot.listed import AMOUNTS, BESIDE, DAYS, RULES, TRUTHS, WIDTH, by_part, rules
from catalog.rules.application import Rule, UnitFacts
from catalog.rules.fitment import outcome_and_quantity
from catalog.rules.interchange import judge_with_interchange
from catalog.rules.verdict import Outcome, Verdict
from shop.statement import Row, Statement, amount, truth

IN_ORDER = itemgetter(WIDTH, 2, 0)  # part, rule, option
PRICE, CONTROLS = WIDTH + parts.PRICE_AT, WIDTH + parts.CONTROLS_AT
GROUP = WIDTH + 11  # the interchange group of the part, behind the columns of its card
OF_TYPE = Statement(
    f"SELECT {RULES}, {parts.COLUMNS}, m.group_id FROM {{pair}} {BESIDE} "
    "LEFT JOIN catalog_interchangemember m ON m.part_id = p.id "
    "WHERE f.code = %s AND t.code = %s",
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
    amounts=AMOUNTS,
    days=DAYS,
    truths=TRUTHS,
)
MEMBERS = Statement(
    f"SELECT {parts.COLUMNS}, m.group_id FROM catalog_interchangemember m "
    f"JOIN catalog_part p ON p.id = m.part_id {parts.JOINS} WHERE m.group_id {{numbers}} ORDER BY p.id",
    amounts=[parts.PRICE_AT],
    truths=[parts.CONTROLS_AT],
)


class Fitting(NamedTuple):
    """A part that fits. `quantity` is per position, None where its rules give several. `offers` has the
    cheapest offer of each currency for the pieces asked for, in the order of the currencies' codes: amounts
    of two currencies are not compared. `alike` names the parts whose applications were lent to it."""

    part: PartCard
    quantity: int | None
    offers: tuple[Cheapest, ...]
    alike: tuple[str, ...] = ()


@dataclass(frozen=True)
class Undecided:
    """A part of which it cannot be told yet. Why, and what is missing, is worked out when it is asked for."""

    part: PartCard
    asked: "Asked"
    own: tuple[Rule, ...]
    lenders: dict[str, tuple[Rule, ...]]

    @property
    def verdict(self) -> Verdict:
        return self.asked.judge(self.own, self.lenders)


@dataclass(frozen=True)
class Asked:
    """The engine and the place asked about."""

    family: FamilyCard
    facts: UnitFacts
    position: PositionCard | None

    def decide(
        self, own: Sequence[Rule], lenders: dict[str, tuple[Rule, ...]]
    ) -> tuple[Outcome, int | None, tuple[str, ...]]:
        """The bare answer: outcome, quantity per position, and whose applications were lent."""
        if lenders:
            verdict = self.judge(own, lenders)
            return verdict.outcome, verdict.quantity, verdict.by_interchange
        place, scope = (self.position.code, self.position.scope) if self.position else (None, None)
        family = self.family
        return *outcome_and_quantity(own, self.facts, family.scheme, place, scope, family.bank_of), ()

    def judge(self, own: Sequence[Rule], lenders: dict[str, tuple[Rule, ...]]) -> Verdict:
        place, scope = (self.position.code, self.position.scope) if self.position else (None, None)
        family = self.family
        return judge_with_interchange(
            own, lenders, self.facts, family.scheme, place, scope, family.option_names, family.bank_of
        )


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
    listed = sorted(OF_TYPE.raw(family.code, part_type), key=IN_ORDER)
    shelves = {rows[0][WIDTH]: rows for rows in by_part(listed)}
    groups = {rows[0][GROUP] for rows in shelves.values()} - {None}
    cards, lenders = _alike(shelves, groups) if groups else ({}, {})
    asked = Asked(family, facts, position)
    fit: dict[int, tuple[int | None, tuple[str, ...]]] = {}
    undecided: list[Undecided] = []
    for part in sorted({*shelves, *cards}) if groups else shelves:
        rows = shelves.get(part, [])
        known = plainly(rows, position)
        if known is not None:
            fit[part] = (known, ())
            continue
        own, lent = tuple(rules(_exact(rows))), lenders.get(part, {})
        outcome, pieces, by = asked.decide(own, lent)
        if outcome == "fits":
            fit[part] = (pieces, by)
        elif outcome == "cannot tell":
            undecided.append(Undecided(cards.get(part) or _card(rows), asked, own, lent))
    offers = cheapest_on(fit, day, quantity)
    fitting = [
        Fitting(cards.get(part) or _card(shelves[part]), pieces, offers.get(part, ()), by)
        for part, (pieces, by) in fit.items()
    ]
    return FittingParts(tuple(fitting), tuple(undecided))


def _card(rows: list[Row]) -> PartCard:
    row = rows[0]
    values: Any = (*row[WIDTH:PRICE], amount(row[PRICE]), row[PRICE + 1], truth(row[CONTROLS]))
    return PartCard(*values)


def plainly(rows: Sequence[Row], position: PositionCard | None) -> int | None:
    """How many per position of a part that fits whatever is known: one of its rules applies it at every place
    without a limit, none excludes it, and all give one number. None where that is not so plain."""
    if not rows:
        return None
    quantity: int = rows[0][6]
    unlimited = False
    for row in rows:
        if row[3] != "applies" or row[6] != quantity:
            return None
        if row[5] is row[7] is row[8] is row[11] is None and not (row[9] or row[10]):
            unlimited = unlimited or position is None or row[4] == position.scope
    return quantity if unlimited else None


def _exact(rows: list[Row]) -> list[Row]:
    return [OF_TYPE.exact(row) for row in rows]


def _alike(
    shelves: dict[int, list[Row]], groups: Collection[int]
) -> tuple[dict[int, PartCard], dict[int, dict[str, tuple[Rule, ...]]]]:
    """The members of these interchange groups, and by member the rules of the others."""
    cards: dict[int, PartCard] = {}
    members: dict[int, list[int]] = {}
    for *columns, group in MEMBERS.rows(groups):
        card = PartCard(*columns)
        cards[card.id] = card
        members.setdefault(group, []).append(card.id)
    of_member = {part: tuple(rules(_exact(shelves.get(part, [])))) for part in cards}
    lenders = {
        part: {cards[other].label: of_member[other] for other in group if other != part}
        for group in members.values()
        for part in group
    }
    return cards, lenders
