"""Which part answers a need, from whom, at what price; and what is still open about it.

What is sure to be needed is bought together by the plan the shop chose (estimates.rules.sourcing): whole
packs, price breaks, freight, deposits and the shelf are weighed at once, and the price of a line rests on
what its pieces cost in that plan. What may be found or wished for is priced beside it, and moves nothing. A
part that was replaced is bought as what replaced it. Where no part is known to fit but some may, the line is
marked to be confirmed, names the missing fact, and is priced at the dearest of the candidates, so that
finding out never makes it dearer. A need that nothing answers is a problem with a name; it is never left out
of the price in silence.

Two suppliers, one selling singly and one in tens: three pieces are cheaper singly, nine are not.

>>> from decimal import Decimal
>>> from catalog.cards import Candidate, OfferCard, PartCard, PositionCard
>>> from catalog.rules.fitment import Rule
>>> from catalog.rules.interval import DateInterval
>>> from shop.rules.markup import MarkupBand
>>> clip = PartCard(1, "orlin", "Orlin", "OR-1", "clip", "clip", "", "original")
>>> rule = Rule("R", "OR-1", "i1", "applies", "engine", None, 1, None, None, None, None, ())
>>> def offer(supplier, price, pack):
...     return OfferCard(1, 1, supplier, supplier, "EUR", Decimal(price), (), pack, 1, Decimal(0), 1,
...         date(2026, 1, 1), None)
>>> market = Market({"clip": (Candidate(clip, (rule,)),)},
...     {1: (offer("depot", "1.00", 10), offer("yard", "1.20", 1))}, {1: clip}, {})
>>> engine = PositionCard("engine", "engine", None)
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> no_markup = (MarkupBand(Decimal(0), Decimal(0)),)
>>> at_cost = Terms("EUR", Decimal(60), Decimal("0.1"), no_markup, "stepped", {}, {})
>>> for pieces in (3, 9):
...     need = NeedAt("clip", "clip", pieces, engine, "required")
...     facts = UnitFacts("i1", DateInterval(), None, {})
...     supply = resolve([need], {}, [], market, facts, family, at_cost)[need.key]
...     print(pieces, supply.pieces[0].offer.supplier, supply.price)
3 yard 1.20
9 depot 1.00
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from catalog.cards import FamilyCard, PartCard
from catalog.rules.fitment import UnitFacts
from estimates.rules.choice import Asked, Choice, Market, choose
from estimates.rules.groups import Group, Shelves
from estimates.rules.piece import Piece, Supply
from estimates.rules.plan import Item, NeedAt, Plan
from estimates.rules.sourcing.asked import Want
from estimates.rules.sourcing.buying import Buying, buy
from estimates.rules.sourcing.within import Wishes
from estimates.rules.terms import Terms
from estimates.rules.workload import NeedKey, workload

__all__ = ["Market", "Piece", "Supplied", "Supply", "answered", "resolve", "resolve_plan", "supplied"]
NO_WISHES = Wishes(date.min)
"""The cheapest of any grade, whenever it comes."""


@dataclass(frozen=True)
class Supplied:
    """A supply for every need, and the plan that those of the firm needs rest on. `wanted` says which want of
    the plan a need is part of; `parts` are all that were to choose from, by id."""

    supplies: dict[NeedKey, Supply]
    buying: Buying
    wanted: Mapping[NeedKey, Want]
    parts: Mapping[int, PartCard]


def resolve_plan(
    plan: Plan,
    market: Market,
    facts: UnitFacts,
    family: FamilyCard,
    terms: Terms,
    wishes: Wishes | None = None,
) -> dict[NeedKey, Supply]:
    """The supplies of `supplied`."""
    return supplied(plan, market, facts, family, terms, wishes or NO_WISHES).supplies


def supplied(
    plan: Plan, market: Market, facts: UnitFacts, family: FamilyCard, terms: Terms, wishes: Wishes
) -> Supplied:
    """A supply for every need of every item of the plan, bought within the wishes.

    What was firm before anyone took an option in is bought together and decides price breaks, so that no
    switch moves a price.
    """
    firm = [item for item in plan.group("firm") if item.origin is None]
    others = [item for item in plan.items if item.group != "firm" or item.origin is not None]

    def wanted(items: Sequence[Item]) -> dict[NeedKey, int]:
        return {key: need.quantity for key, need in workload(items, plan.steps).needs.items()}

    needs = list(workload(plan.items, plan.steps).needs.values())
    apart = [wanted([item]) for item in others]
    return answered(needs, wanted(firm), apart, Asked(market, facts, family), terms, wishes)


def resolve(
    needs: Sequence[NeedAt],
    firm: Mapping[NeedKey, int],
    apart: Sequence[Mapping[NeedKey, int]],
    market: Market,
    facts: UnitFacts,
    family: FamilyCard,
    terms: Terms,
    wishes: Wishes | None = None,
) -> dict[NeedKey, Supply]:
    """The supplies of `answered`."""
    return answered(needs, firm, apart, Asked(market, facts, family), terms, wishes or NO_WISHES).supplies


def answered(
    needs: Sequence[NeedAt],
    firm: Mapping[NeedKey, int],
    apart: Sequence[Mapping[NeedKey, int]],
    asked: Asked,
    terms: Terms,
    wishes: Wishes,
) -> Supplied:
    """A supply for every need. Needs that the same parts answer are bought together.

    How many pieces are bought decides price breaks and packs: those of `firm`; where nothing firm wants
    these parts, the fewest that one of `apart` (what may be decided on its own) wants; without either, all.
    """
    choices = {need.key: choose(need, asked) for need in needs}
    together: dict[tuple[str, Choice], list[NeedAt]] = defaultdict(list)
    for need in needs:
        together[need.part_type, choices[need.key]].append(need)
    shelf = Shelves(asked.market, terms)
    groups = [
        Group(choice, tuple(same), *_pieces(same, firm, apart), shelf)
        for (_, choice), same in together.items()
    ]
    sure = [group for group in groups if group.sure and group.want.ways and not group.choice.to_confirm]
    buying = buy(
        [group.want for group in sure],
        shelf.sources(group.want for group in groups),
        frozenset(part.id for part in asked.market.parts.values() if part.grade == "original"),
        wishes,
    )
    supplies: dict[NeedKey, Supply] = {}
    for group in groups:
        supply = group.supply(buying, asked, terms)
        supplies |= {need.key: supply for need in group.needs}
    wanted = {need.key: group.want for group in sure for need in group.needs}
    return Supplied(supplies, buying, wanted, asked.market.parts)


def _pieces(
    needs: Sequence[NeedAt], firm: Mapping[NeedKey, int], apart: Iterable[Mapping[NeedKey, int]]
) -> tuple[int, bool]:
    """How many, and whether they are sure to be bought."""
    keys = [need.key for need in needs]
    sure = sum(firm.get(key, 0) for key in keys)
    if sure:
        return sure, True
    wanted = [sum(one.get(key, 0) for key in keys) for one in apart]
    return min(filter(None, wanted), default=sum(need.quantity for need in needs)), False
