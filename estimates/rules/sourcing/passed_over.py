"""Why an offer with a lower price was not taken.

Each offer that asks less for a piece than the plan pays is tried in the place of the one that was taken, and
what the whole purchase would then cost is worked out: it may be dearer by its packs or minimum, its deposit,
or the freight of another order. Where it would not be dearer, one of the shop's wishes stands against it.

Two clips at 1.20 from a house that is ordered from anyway, though another asks 1.00 and 4.90 for sending:

>>> from datetime import date
>>> from catalog.cards import OfferCard
>>> from estimates.rules.sourcing.buying import buy
>>> from estimates.rules.sourcing.within import Wishes
>>> def offer(supplier, price, freight):
...     return Source(OfferCard(1, 1, supplier, supplier.title(), "EUR", Decimal(price), (), 1, 1, Decimal(0),
...         1, date(2026, 1, 1), None, freight=Decimal(freight)))
>>> want = Want(("clip",), "clip", 2, (((1, 1),),))
>>> sources = [offer("depot", "1.00", "4.90"), offer("yard", "1.20", "0")]
>>> (one,) = passed_over(buy([want], sources, frozenset(), Wishes(date(2026, 3, 2))), want)
>>> one.source.supplier, one.kind, one.more
('depot', 'freight', Decimal('4.50'))
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal

from estimates.rules.sourcing.asked import ZERO, Bundle, Purchase, Source, Taken, Want
from estimates.rules.sourcing.buying import Buying

Kind = Literal[
    "blocked", "grade", "late", "shelf", "packs", "deposit", "freight", "same", "wish", "suppliers", "days"
]


@dataclass(frozen=True)
class PassedOver:
    """An offer that asks `price` for a piece, less than the plan pays, and what stands against it.

    `more`: what the whole purchase would cost more with it; `arrives` where it is too late.
    """

    source: Source
    price: Decimal
    kind: Kind
    more: Decimal = ZERO
    arrives: date | None = None


def passed_over(buying: Buying, want: Want) -> tuple[PassedOver, ...]:
    """Every offer for a part of one piece that would answer the want of the plan, at a lower price than what
    is paid; the lowest first. A set of several parts is not compared piece by piece."""
    way = buying.way.get(want.key)
    if way is None or len(way) > 1:
        return ()
    part, per = way[0]
    taken = buying.purchase.of(part)
    if not taken:
        return ()
    pieces = sum(one.pieces for one in taken)
    paid = sum((one.goods for one in taken), ZERO) / pieces * per
    chosen = {one.source.offer for one in taken}
    found = []
    asked = next(one for one in buying.wants if one.key == want.key)
    for other in (other for other in asked.ways if len(other) == 1):
        for source in buying.sources:
            number = other[0][1]
            if source.part != other[0][0] or source.offer in chosen or source.kind == "list":
                continue
            price = source.offer.piece_price(want.pieces * number) * number
            if price < paid:
                found.append(_reason(buying, want, other, source, price))
    return tuple(sorted(found, key=lambda one: (one.price, one.source.offer.supplier, one.source.part)))


def _reason(buying: Buying, want: Want, way: Bundle, source: Source, price: Decimal) -> PassedOver:
    wishes, offer = buying.wishes, source.offer
    if offer.blocked:
        return PassedOver(source, price, "blocked")
    if wishes.grade == "original" and source.part not in buying.originals:
        return PassedOver(source, price, "grade")
    if wishes.days is not None and offer.lead_days > wishes.days:
        return PassedOver(source, price, "late", arrives=wishes.today + timedelta(days=offer.lead_days))
    swapped = _swapped(buying, want, way, source)
    if swapped is None:
        return PassedOver(source, price, "shelf" if source.kind == "shelf" else "packs")
    now, then = buying.purchase, swapped
    more = then.total - now.total
    if more > 0:
        if then.goods > now.goods:
            return PassedOver(source, price, "packs", more)
        kind: Kind = "deposit" if then.deposits - now.deposits >= then.freight - now.freight else "freight"
        return PassedOver(source, price, kind, more)
    if then.compared > now.compared:
        return PassedOver(source, price, "wish", more)
    if wishes.plan == "fewest" and len(then.suppliers) > len(now.suppliers):
        return PassedOver(source, price, "suppliers", more)
    if then.days > now.days:
        return PassedOver(source, price, "days", more)
    return PassedOver(
        source, price, "suppliers" if len(then.suppliers) > len(now.suppliers) else "same", more
    )


def _swapped(buying: Buying, want: Want, way: Bundle, source: Source) -> Purchase | None:
    """The purchase with this want taken whole from the source; None where it has not that many.

    Other wants keep what they have; of a part that they share, what this want leaves free is not bought.
    """
    others = _others(buying, want)
    needed = want.pieces * way[0][1] + others.get(source.part, 0)
    old = buying.way[want.key][0][0]
    quantity = next(
        (max(fewest, _up(needed, source)) for fewest, most, _ in source.ranges(needed) if most >= needed),
        None,
    )
    if quantity is None:
        return None
    weight = next(
        (one.weight for one in buying.left.basket.sources if one.offer == source.offer), source.weight
    )
    kept: list[Taken] = []
    for one in buying.purchase.taken:
        if one.source.part == source.part:
            continue
        if one.source.part == old:
            if not others.get(old):
                continue
            less = _up(others[old], one.source)
            one = Taken(one.source, min(one.pieces, max(less, one.source.offer.minimum_quantity)))
        kept.append(one)
    return Purchase(buying.purchase.ways, (*kept, Taken(replace(source, weight=weight), quantity)))


def _up(pieces: int, source: Source) -> int:
    return -(-pieces // source.offer.pack) * source.offer.pack


def _others(buying: Buying, want: Want) -> dict[int, int]:
    """By part, the pieces that the other wants of the plan take."""
    needed: dict[int, int] = {}
    for other in buying.left.basket.wants:
        for part, per in buying.way[other.key] if other.key != want.key else ():
            needed[part] = needed.get(part, 0) + per * other.pieces
    return needed
