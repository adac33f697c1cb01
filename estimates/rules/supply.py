"""Which part answers a need, from whom, at what price; and what is still open about it.

Parts that fit are compared by what the needed pieces cost from each valid offer, in whole packs; the
cheapest wins, then the sooner one. A part that was replaced is bought as what replaced it. Where no part is
known to fit but some may, the line is marked to be confirmed, names the missing fact, and is priced at the
dearest of the candidates, so that finding out never makes it dearer. Price breaks and packs follow from what
is sure to be bought, not from what may be found or wished for. A need that nothing answers is a
problem with a name; it is never left out of the price in silence.

Two suppliers, one selling singly and one in tens: three pieces are cheaper singly, nine are not.

>>> from datetime import date
>>> from catalog.cards import Candidate, PositionCard
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
from decimal import Decimal

from catalog.cards import FamilyCard, OfferCard, PartCard
from catalog.rules.fitment import UnitFacts
from estimates.rules.choice import Asked, Bundle, Choice, Market, choose, serves_like
from estimates.rules.plan import Item, NeedAt, Plan
from estimates.rules.terms import Terms
from estimates.rules.workload import NeedKey, workload
from shop.rules.errors import Fault, Refused


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a supply: `per` of it for each piece needed; cost and price per piece without tax."""

    part: PartCard
    per: int
    offer: OfferCard | None
    cost: Decimal
    price: Decimal
    deposit: Decimal
    why: str


@dataclass(frozen=True, slots=True)
class Supply:
    """The answer to a need. `to_confirm` names the missing fact; `span` is then the price span per piece.
    `alike` says whose fitment it rests on where it is another part's ("serves like Orlin A1, which fits").

    `problem` says why there is no answer; then there are no pieces.
    """

    pieces: tuple[Piece, ...]
    to_confirm: str = ""
    candidates: tuple[str, ...] = ()
    span: tuple[Decimal, Decimal] | None = None
    problem: str = ""
    alike: str = ""

    @property
    def price(self) -> Decimal:
        """Of one piece needed, without tax and deposit."""
        return sum((piece.price * piece.per for piece in self.pieces), Decimal(0))

    @property
    def to_pay(self) -> Decimal:
        """Of one piece needed, without tax: price and deposit."""
        return self.price + sum((piece.deposit * piece.per for piece in self.pieces), Decimal(0))


def resolve_plan(
    plan: Plan, market: Market, facts: UnitFacts, family: FamilyCard, terms: Terms
) -> dict[NeedKey, Supply]:
    """A supply for every need of every item of the plan.

    What was firm before anyone took an option in decides price breaks, so that no switch moves a price.
    """
    firm = [item for item in plan.group("firm") if item.origin is None]
    others = [item for item in plan.items if item.group != "firm" or item.origin is not None]

    def wanted(items: Sequence[Item]) -> dict[NeedKey, int]:
        return {key: need.quantity for key, need in workload(items, plan.steps).needs.items()}

    needs = list(workload(plan.items, plan.steps).needs.values())
    return resolve(needs, wanted(firm), [wanted([item]) for item in others], market, facts, family, terms)


def resolve(
    needs: Sequence[NeedAt],
    firm: Mapping[NeedKey, int],
    apart: Sequence[Mapping[NeedKey, int]],
    market: Market,
    facts: UnitFacts,
    family: FamilyCard,
    terms: Terms,
) -> dict[NeedKey, Supply]:
    """A supply for every need. Needs that the same parts answer are bought together.

    How many pieces are bought decides price breaks and packs: those of `firm`; where nothing firm wants
    these parts, the fewest that one of `apart` (what may be decided on its own) wants; without either, all.
    """
    asked = Asked(market, facts, family)
    choices = {need.key: choose(need, asked) for need in needs}
    together: dict[tuple[str, Choice], list[NeedAt]] = defaultdict(list)
    for need in needs:
        together[need.part_type, choices[need.key]].append(need)
    supplies = {
        (part_type, choice): _supply(choice, same, _pieces(same, firm, apart), asked, terms)
        for (part_type, choice), same in together.items()
    }
    return {need.key: supplies[need.part_type, choices[need.key]] for need in needs}


def _pieces(
    needs: Sequence[NeedAt], firm: Mapping[NeedKey, int], apart: Iterable[Mapping[NeedKey, int]]
) -> int:
    keys = [need.key for need in needs]
    sure = sum(firm.get(key, 0) for key in keys)
    if sure:
        return sure
    wanted = [sum(one.get(key, 0) for key in keys) for one in apart]
    return min(filter(None, wanted), default=sum(need.quantity for need in needs))


@dataclass(frozen=True, slots=True)
class _Bought:
    """One part of a bundle as it would be bought: cost per piece, and what the wanted pieces cost in all."""

    part: PartCard
    per: int
    offer: OfferCard | None
    cost: Decimal
    spent: Decimal


def _supply(choice: Choice, needs: Sequence[NeedAt], quantity: int, asked: Asked, terms: Terms) -> Supply:
    if choice.problem:
        return Supply((), problem=choice.problem)
    found: list[tuple[Decimal, int, str, Bundle, list[_Bought]]] = []
    unpriced: dict[str, Bundle] = {}
    for bundle in choice.bundles:
        parts = [asked.market.parts[part_id] for part_id, _ in bundle]
        tried = [
            _buy(part, per, per * quantity, asked.market, terms)
            for part, (_, per) in zip(parts, bundle, strict=True)
        ]
        bought = [one for one in tried if one is not None]
        label = " + ".join(part.label for part in parts)
        if len(bought) < len(bundle):
            unpriced[label] = bundle
            continue
        spent = sum((one.spent for one in bought), Decimal(0))
        days = max(one.offer.lead_days if one.offer else 0 for one in bought)
        found.append((spent, days, label, bundle, bought))
    if not found:
        names = ", ".join(sorted(unpriced))
        problem = f"no supplier offers {names} in {terms.currency} today, and there is no list price"
        return Supply((), problem=problem)
    found.sort(key=lambda entry: entry[:3])
    if not choice.to_confirm:
        *_, bundle, bought = found[0]
        return Supply(tuple(_priced(one, terms) for one in bought), alike=serves_like(bundle, needs, asked))
    supplies = [Supply(tuple(_priced(one, terms) for one in entry[4])) for entry in found]
    dearest = max(supplies, key=lambda supply: supply.to_pay)
    prices = [supply.price for supply in supplies]

    def named(label: str, bundle: Bundle, *more: str) -> str:
        beside = "; ".join(filter(None, (serves_like(bundle, needs, asked), *more)))
        return f"{label} ({beside})" if beside else label

    return Supply(
        dearest.pieces,
        to_confirm=choice.to_confirm,
        candidates=(
            *dict.fromkeys(named(label, bundle) for _, _, label, bundle, _ in found),
            *(named(label, unpriced[label], "no price today") for label in sorted(unpriced)),
        ),
        span=(min(prices), max(prices)),
    )


def _buy(part: PartCard, per: int, quantity: int, market: Market, terms: Terms) -> _Bought | None:
    """The cheapest valid offer for this many pieces; without one the list price; None without either."""
    offers = [offer for offer in market.offers.get(part.id, ()) if offer.currency == terms.currency]
    if offers:
        offer = min(offers, key=lambda o: (o.cost(quantity), o.lead_days, o.supplier))
        cost = offer.piece_price(offer.orderable(quantity))
        return _Bought(part, per, offer, cost, offer.cost(quantity))
    listed = _list_price(part, terms)
    return None if listed is None else _Bought(part, per, None, listed, listed * quantity)


def _list_price(part: PartCard, terms: Terms) -> Decimal | None:
    return part.list_price if part.list_currency == terms.currency else None


def _priced(bought: _Bought, terms: Terms) -> Piece:
    part, offer = bought.part, bought.offer
    try:
        sold = terms.sell(bought.cost, _list_price(part, terms))
    except Refused as refusal:
        # The ladder knows amounts only; say whose.
        raise Refused(Fault(f"{part.label}, {f.where}", f.what, f.right) for f in refusal.faults) from None
    if offer is None:
        why = "list price: no supplier offers it today"
        return Piece(part, bought.per, None, bought.cost, sold.amount, Decimal(0), why)
    return Piece(part, bought.per, offer, bought.cost, sold.amount, offer.deposit, sold.reason)
