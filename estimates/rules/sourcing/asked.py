"""The words of buying: what is wanted, who could send it, and what a purchase comes to.

A want is so many pieces of something that one of several parts (or sets of parts) answers. A source is an
offer of a part: a supplier's, the shop's own shelf, which holds only so many, or a bare list price where
nobody offers it. Freight is asked once for each supplier's order and not at all from its threshold on, which
looks at the value of the goods without deposits. What a purchase costs: goods, deposits and freight.

Eleven clips: ten in a bag from the depot and a single one from the yard.

>>> from datetime import date
>>> def offer(supplier, price, pack, freight):
...     return OfferCard(1, 1, supplier, supplier.title(), "EUR", Decimal(price), (), pack, 1, Decimal(0), 1,
...         date(2026, 1, 1), None, freight=Decimal(freight), free_freight_from=Decimal("10.00"))
>>> bag, single = Source(offer("depot", "1.00", 10, "6.90")), Source(offer("yard", "1.10", 1, "2.00"))
>>> bought = Purchase((((1, 1),),), (Taken(bag, 10), Taken(single, 1)))
>>> bought.goods, bought.freight, bought.total, bought.suppliers
(Decimal('11.10'), Decimal('2.00'), Decimal('13.10'), ('depot', 'yard'))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import Literal

from catalog.cards import OfferCard

Bundle = tuple[tuple[int, int], ...]
"""(part id, pieces of it) that together stand for one piece of what is wanted."""

Kind = Literal["supplier", "shelf", "list", "along"]
"""A supplier's order; the shop's shelf; a list price nobody offers at; along with an order placed anyway."""
ZERO = Decimal(0)


@dataclass(frozen=True)
class Source:
    """One way to get a part. `at_most`: pieces there are; None for as many as wanted.

    `weight` is what its cost counts for when plans are compared: above 1 where something preferred may cost
    that much more.
    """

    offer: OfferCard
    at_most: int | None = None
    kind: Kind = "supplier"
    weight: Fraction = Fraction(1)

    @property
    def part(self) -> int:
        return self.offer.part_id

    @property
    def supplier(self) -> str:
        """The supplier's code where an order has to be placed for it, else ""."""
        return self.offer.supplier if self.kind == "supplier" else ""

    @property
    def each(self) -> Decimal:
        """A piece with its deposit, at the price without breaks."""
        return self.offer.price + self.offer.deposit

    def ranges(self, most: int) -> Iterator[tuple[int, int, Decimal]]:
        """(fewest, most, price): quantities worth ordering where up to `most` pieces may be wanted.

        Whole packs; no more than cover what is wanted, but for the fewest that are sold or reach a break.
        """
        offer = self.offer
        starts = ((1, offer.price), *offer.breaks)
        ends = [start - 1 for start, _ in starts[1:]]
        for number, (start, price) in enumerate(starts):
            fewest = _up(max(start, offer.minimum_quantity), offer.pack)
            upper = max(fewest, _up(most, offer.pack))
            if number < len(ends):
                upper = min(upper, _down(ends[number], offer.pack))
            if self.at_most is not None:
                upper = min(upper, _down(self.at_most, offer.pack))
            if fewest <= upper:
                yield fewest, upper, price


def _up(pieces: int, pack: int) -> int:
    return -(-pieces // pack) * pack


def _down(pieces: int, pack: int) -> int:
    return pieces // pack * pack


@dataclass(frozen=True)
class Want:
    """`pieces` of something that one of `ways` answers, the same one for all of them."""

    key: tuple[object, ...]
    name: str
    pieces: int
    ways: tuple[Bundle, ...]


@dataclass(frozen=True)
class Basket:
    """What is to be bought together, and from where it could come."""

    wants: tuple[Want, ...]
    sources: tuple[Source, ...]

    @cached_property
    def most(self) -> Mapping[int, int]:
        """By part, the pieces of it that may be wanted at most."""
        most: dict[int, int] = defaultdict(int)
        for want in self.wants:
            highest: dict[int, int] = {}
            for way in want.ways:
                for part, per in way:
                    highest[part] = max(highest.get(part, 0), per * want.pieces)
            for part, pieces in highest.items():
                most[part] += pieces
        return dict(most)


@dataclass(frozen=True)
class Taken:
    """So many pieces from a source, in whole packs."""

    source: Source
    pieces: int

    @property
    def price(self) -> Decimal:
        return self.source.offer.piece_price(self.pieces)

    @property
    def goods(self) -> Decimal:
        return self.price * self.pieces

    @property
    def deposits(self) -> Decimal:
        return self.source.offer.deposit * self.pieces


@dataclass(frozen=True)
class Purchase:
    """A way for each want, in their order, and what is taken from where."""

    ways: tuple[Bundle, ...]
    taken: tuple[Taken, ...]

    @cached_property
    def goods(self) -> Decimal:
        return sum((one.goods for one in self.taken), ZERO)

    @cached_property
    def deposits(self) -> Decimal:
        return sum((one.deposits for one in self.taken), ZERO)

    @cached_property
    def freight_by_supplier(self) -> Mapping[str, Decimal]:
        """What each supplier asks for sending the order, 0 from its threshold on."""
        values: dict[str, Decimal] = defaultdict(Decimal)
        offers: dict[str, OfferCard] = {}
        for one in self.taken:
            if one.source.supplier:
                values[one.source.supplier] += one.goods
                offers.setdefault(one.source.supplier, one.source.offer)
        return {code: freight_on(offers[code], value) for code, value in sorted(values.items())}

    @cached_property
    def freight(self) -> Decimal:
        return sum(self.freight_by_supplier.values(), ZERO)

    @cached_property
    def total(self) -> Decimal:
        return self.goods + self.deposits + self.freight

    @cached_property
    def compared(self) -> Fraction:
        """What plans are compared by: the total, with what is not preferred counting for more."""
        weighed = sum(
            (one.source.weight * Fraction(one.goods + one.deposits) for one in self.taken), Fraction()
        )
        return weighed + Fraction(self.freight)

    @cached_property
    def suppliers(self) -> tuple[str, ...]:
        return tuple(self.freight_by_supplier)

    @cached_property
    def days(self) -> int:
        """Until the last piece is there."""
        return max((one.source.offer.lead_days for one in self.taken), default=0)

    def of(self, part: int) -> tuple[Taken, ...]:
        return tuple(one for one in self.taken if one.source.part == part)


def freight_on(offer: OfferCard, goods: Decimal) -> Decimal:
    """What the supplier of this offer asks for sending goods of this value."""
    free = offer.free_freight_from
    return ZERO if free is not None and goods >= free else offer.freight
