"""What it really costs to have the pieces on the bench, and when they are there.

The price on the list is not what is paid. Fewer than the minimum cannot be had, nor half a pack, so more may
have to be ordered than is needed; more pieces may reach a lower price. Freight comes on top unless the goods
of the order are worth enough to travel free. A deposit is paid too, and comes back with the old core: it is
part of what leaves the till, so it is in the total, and it is shown apart.

>>> terms = Terms(Decimal("18.40"), ((8, Decimal("15.00")),), 4, 1, Decimal("2.50"), Decimal("9.50"),
...               Decimal("100"), 2, date(2026, 1, 1), 180)
>>> six = landed(terms, 6, date(2026, 7, 1))
>>> print(six.pieces, six.each, six.goods, six.freight, six.deposit, six.total, six.arrival)
8 15.00 120.00 0 20.00 140.00 2026-07-03
>>> six.more, six.reached, six.stale_days
(2, 8, 181)
>>> landed(terms, 4, date(2026, 6, 30)).freight
Decimal('9.50')

Amounts are in the supplier's currency and without tax. Those of two currencies are never added or compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from catalog.rules.stale import stale_days


@dataclass(frozen=True, slots=True)
class Terms:
    """What a supplier asks: price per piece, breaks (from how many pieces, price) in rising order, pieces in
    a pack, least pieces, deposit per piece, freight of an order, value of goods from which freight is free
    (None: never), days until it is here, when the price was last stated (see catalog.rules.stale), and after
    how many days it is stale."""

    price: Decimal
    breaks: tuple[tuple[int, Decimal], ...]
    pack: int
    minimum: int
    deposit: Decimal
    freight: Decimal
    free_from: Decimal | None
    lead_days: int
    stated_on: date
    stale_after_days: int


@dataclass(frozen=True, slots=True)
class Landed:
    """An order for at least the `asked` pieces: `pieces` are ordered at `each`; `goods`, `freight` and
    `deposit` make the `total`. `reached` is the break that set the price; `stale_days` is how
    many days ago the price was stated where it is stale, else None."""

    asked: int
    pieces: int
    each: Decimal
    goods: Decimal
    freight: Decimal
    deposit: Decimal
    arrival: date
    reached: int | None
    stale_days: int | None

    @property
    def total(self) -> Decimal:
        return self.goods + self.freight + self.deposit

    @property
    def more(self) -> int:
        """Pieces ordered beyond those asked for, for the pack or the minimum."""
        return self.pieces - self.asked

    @property
    def each_landed(self) -> Fraction:
        """The total shared among the pieces ordered, unrounded."""
        return Fraction(self.total) / self.pieces

    @property
    def each_kept(self) -> Fraction:
        """The same without the deposit, which comes back: what a piece costs in the end, unrounded."""
        return Fraction(self.total - self.deposit) / self.pieces


def landed(terms: Terms, quantity: int, day: date) -> Landed:
    """The order for at least `quantity` pieces (one or more), placed on `day`.

    Whole packs, at least the minimum; the price of the largest break reached by what is ordered; freight by
    the goods' value without deposit; arrival after the lead time in calendar days.
    """
    wanted = max(quantity, terms.minimum)
    pieces = -(-wanted // terms.pack) * terms.pack
    reached = max((start for start, _ in terms.breaks if start <= pieces), default=None)
    each = next((price for start, price in terms.breaks if start == reached), terms.price)
    goods = each * pieces
    return Landed(
        asked=quantity,
        pieces=pieces,
        each=each,
        goods=goods,
        freight=freight(goods, terms.freight, terms.free_from),
        deposit=terms.deposit * pieces,
        arrival=day + timedelta(days=terms.lead_days),
        reached=reached,
        stale_days=stale_days(terms.stated_on, terms.stale_after_days, day),
    )


def freight(goods: Decimal, charge: Decimal, free_from: Decimal | None) -> Decimal:
    """The freight of one order of so many goods: nothing from the free amount on, that amount included."""
    return Decimal(0) if free_from is not None and goods >= free_from else charge
