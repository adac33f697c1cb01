"""Needs that the same parts answer: what they want together, and what supply they get from the plan.

A piece costs what it costs in the plan, whole packs and breaks included; where its pieces come from several
sources, what they come to on average. A part that nobody offers is bought at its list price.

>>> from estimates.rules.sourcing.asked import Source
>>> clip = PartCard(1, "orlin", "Orlin", "OR-1", "clip", "clip", "", "original")
>>> def offer(supplier, price):
...     return OfferCard(1, 1, supplier, supplier.title() or "own stock", "EUR", Decimal(price), (), 1, 1,
...         Decimal(0), 1, date(2026, 1, 1), None)
>>> taken = (Taken(Source(offer("", "0.80"), 2, "shelf"), 2), Taken(Source(offer("yard", "1.20")), 6))
>>> from shop.rules.markup import MarkupBand
>>> no_markup = (MarkupBand(Decimal(0), Decimal(0)),)
>>> at_cost = Terms("EUR", Decimal(60), Decimal("0.1"), no_markup, "stepped", {}, {})
>>> piece = priced(clip, 1, taken, at_cost)
>>> piece.cost, piece.offer.supplier, piece.why.rpartition("; ")[2]
(Decimal('1.1000'), 'yard', '2 from own stock, 6 from Yard')
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from catalog.cards import OfferCard, PartCard
from estimates.rules.choice import Asked, Bundle, Choice, Market, serves_like
from estimates.rules.piece import Piece, Supply
from estimates.rules.plan import NeedAt
from estimates.rules.sourcing.asked import Purchase, Source, Taken, Want
from estimates.rules.sourcing.buying import Buying
from estimates.rules.terms import Terms
from shop.rules.errors import Fault, Refused
from shop.rules.rounding import round_half_up

LISTED_ON = date.min
"""Nobody stated a list price on any day, and nothing asks how old it is."""


class Shelves:
    """From where each part of a market could come, in the shop's currency."""

    def __init__(self, market: Market, terms: Terms) -> None:
        self._market, self._terms = market, terms
        self._known: dict[int, tuple[Source, ...]] = {}

    def of(self, part: int) -> tuple[Source, ...]:
        """Of blocked suppliers too; those only explain."""
        if part not in self._known:
            self._known[part] = tuple(self._found(part))
        return self._known[part]

    def _found(self, part: int) -> Iterable[Source]:
        market, currency = self._market, self._terms.currency
        pieces, own = market.shelf.get(part, (0, None))
        if own is not None and own.currency == currency:
            yield Source(own, pieces, "shelf")
        offers = [offer for offer in market.offers.get(part, ()) if offer.currency == currency]
        for offer in sorted(offers, key=lambda offer: (offer.supplier, offer.id)):
            yield Source(offer)
        listed = list_price(market.parts[part], self._terms)
        if listed is not None and all(offer.blocked for offer in offers):
            bare = (0, part, "", "list price", currency, listed, (), 1, 1, Decimal(0), 0, LISTED_ON, None)
            yield Source(OfferCard(*bare), None, "list")

    def priced(self, bundle: Bundle) -> bool:
        """Whether each of its parts can be had at some price."""
        return all(any(not source.offer.blocked for source in self.of(part)) for part, _ in bundle)

    def sources(self, wants: Iterable[Want]) -> tuple[Source, ...]:
        parts = sorted({part for want in wants for way in want.ways for part, _ in way})
        return tuple(source for part in parts for source in self.of(part))


@dataclass(frozen=True)
class Group:
    """Needs with one choice of parts. `pieces` are bought together; `sure` where something firm wants
    them."""

    choice: Choice
    needs: tuple[NeedAt, ...]
    pieces: int
    sure: bool
    shelf: Shelves

    @cached_property
    def want(self) -> Want:
        ways = tuple(bundle for bundle in self.choice.bundles if self.shelf.priced(bundle))
        first = self.needs[0]
        key = (first.part_type, *(need.place.code for need in self.needs))
        return Want(key, first.type_name, self.pieces, ways)

    def supply(self, buying: Buying, asked: Asked, terms: Terms) -> Supply:
        """What the needs get: from the plan where they are part of it, else bought beside it."""
        if self.choice.problem:
            return Supply((), problem=self.choice.problem)
        if not self.want.ways:
            names = ", ".join(sorted(_label(bundle, asked) for bundle in self.choice.bundles))
            problem = f"no supplier offers {names} in {terms.currency} today, and there is no list price"
            return Supply((), problem=problem)
        if self.choice.to_confirm:
            return self._open(buying, asked, terms)
        way = buying.way.get(self.want.key) if self.sure else None
        if way is not None:
            return self._from(buying.purchase, way, asked, terms)
        missed = next((one.text for one in buying.unmet if self.sure and one.want.key == self.want.key), "")
        found: Purchase | str = missed or buying.apart(self.want)
        if isinstance(found, str):
            return Supply((), problem=found)
        return self._from(found, found.ways[0], asked, terms)

    def _from(self, purchase: Purchase, way: Bundle, asked: Asked, terms: Terms) -> Supply:
        pieces = tuple(priced(asked.market.parts[part], per, purchase.of(part), terms) for part, per in way)
        return Supply(pieces, alike=serves_like(way, self.needs, asked))

    def _open(self, buying: Buying, asked: Asked, terms: Terms) -> Supply:
        """Which part fits is not known yet: priced at the dearest of the candidates."""
        found: dict[Bundle, tuple[Decimal, Supply]] = {}
        problem = ""
        for way in self.want.ways:
            bought = buying.apart(Want(self.want.key, self.want.name, self.pieces, (way,)))
            if isinstance(bought, str):
                problem = bought
            else:
                found[way] = (bought.total, self._from(bought, way, asked, terms))
        if not found:
            return Supply((), problem=problem)
        ways = sorted(found, key=lambda way: (found[way][0], _label(way, asked)))
        supplies = [found[way][1] for way in ways]
        prices = [supply.price for supply in supplies]
        unpriced = [bundle for bundle in self.choice.bundles if bundle not in found]

        def named(bundle: Bundle, *more: str) -> str:
            beside = "; ".join(filter(None, (serves_like(bundle, self.needs, asked), *more)))
            return f"{_label(bundle, asked)} ({beside})" if beside else _label(bundle, asked)

        return Supply(
            max(supplies, key=lambda supply: supply.to_pay).pieces,
            to_confirm=self.choice.to_confirm,
            candidates=(
                *dict.fromkeys(named(way) for way in ways),
                *(named(way, "no price today") for way in sorted(unpriced, key=lambda w: _label(w, asked))),
            ),
            span=(min(prices), max(prices)),
        )


def _label(bundle: Bundle, asked: Asked) -> str:
    return " + ".join(asked.market.parts[part].label for part, _ in bundle)


def list_price(part: PartCard, terms: Terms) -> Decimal | None:
    return part.list_price if part.list_currency == terms.currency else None


def priced(part: PartCard, per: int, taken: Sequence[Taken], terms: Terms) -> Piece:
    """The part as it is sold. Refused where the shop's ladder has no price for it."""
    number = sum(one.pieces for one in taken)
    cost = _average(sum((one.goods for one in taken), Decimal(0)), number, taken)
    deposit = sum((one.deposits for one in taken), Decimal(0))
    try:
        sold = terms.sell(cost, list_price(part, terms))
    except Refused as refusal:
        # The ladder knows amounts only; say whose.
        raise Refused(Fault(f"{part.label}, {f.where}", f.what, f.right) for f in refusal.faults) from None
    main = max(taken, key=lambda one: one.pieces).source
    if main.kind == "list":
        why = "list price: no supplier offers it today"
        return Piece(part, per, None, cost, sold.amount, Decimal(0), why, tuple(taken))
    whence = ", ".join(f"{one.pieces} from {one.source.offer.supplier_name}" for one in taken)
    why = f"{sold.reason}; {whence}" if len(taken) > 1 else sold.reason
    each = main.offer.deposit if len(taken) == 1 else round_half_up(deposit / number, 4)
    return Piece(part, per, main.offer, cost, sold.amount, each, why, tuple(taken))


def _average(goods: Decimal, number: int, taken: Sequence[Taken]) -> Decimal:
    return taken[0].price if len(taken) == 1 else round_half_up(goods / number, 4)
