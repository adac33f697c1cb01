"""Plans that can be told without the solver, because nothing else could be as cheap.

A want that one part answers is bought whole from one source if that beats the least that dividing it could
cost: every piece at the lowest price there is, with the lowest freight of two sources. Several wants are
bought one by one if they share no part and no freight, and each has a single best answer. Wherever that is
not certain this module says nothing, and the solver decides.

>>> from datetime import date
>>> from decimal import Decimal
>>> from catalog.cards import OfferCard
>>> def offer(supplier, price):
...     return Source(OfferCard(1, 1, supplier, supplier, "EUR", Decimal(price), (), 1, 1, Decimal(0), 1,
...         date(2026, 1, 1), None))
>>> wants = (Want(("clip",), "clip", 3, (((1, 1),),)),)
>>> direct(Basket(wants, (offer("depot", "1.00"), offer("yard", "1.20")))).suppliers
('depot',)
>>> direct(Basket(wants, (offer("depot", "1.00"), offer("yard", "1.00")))) is None
True
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from estimates.rules.sourcing.asked import Basket, Bundle, Purchase, Source, Taken, Want


@dataclass(frozen=True)
class _Answer:
    cost: Fraction
    way: Bundle
    taken: Taken


def direct(basket: Basket) -> Purchase | None:
    """The one cheapest purchase, where it is certain that there is no other as cheap; else None."""
    parts = [part for want in basket.wants for part in {part for way in want.ways for part, _ in way}]
    if len(set(parts)) < len(parts):
        return None
    by_part: dict[int, list[Source]] = defaultdict(list)
    for source in basket.sources:
        by_part[source.part].append(source)
    found = []
    senders: list[str] = []
    for want in basket.wants:
        answer = _sole(want, by_part)
        if answer is None:
            return None
        found.append(answer)
        among = [source for way in want.ways for part, _ in way for source in by_part[part]]
        senders += {source.supplier for source in among if source.supplier and source.offer.freight}
    if len(set(senders)) < len(senders):
        return None
    return Purchase(tuple(one.way for one in found), tuple(one.taken for one in found))


def _sole(want: Want, by_part: dict[int, list[Source]]) -> _Answer | None:
    """The answer that is cheaper than every other, from one source; None where there may be another."""
    answers: list[_Answer] = []
    floor: list[Fraction] = []
    for way in want.ways:
        if len(way) > 1:
            return None
        part, per = way[0]
        sources = by_part[part]
        pieces = per * want.pieces
        answers += [_Answer(cost, way, taken) for cost, taken in _whole(sources, pieces)]
        if len(sources) > 1:
            floor.append(_divided(sources, pieces))
    answers.sort(key=lambda one: one.cost)
    if not answers:
        return None
    best = answers[0]
    others = [*(one.cost for one in answers[1:2]), *floor]
    return best if all(best.cost < cost for cost in others) else None


def _whole(sources: Sequence[Source], pieces: int) -> list[tuple[Fraction, Taken]]:
    """Everything from one source, at every quantity that could be the cheapest."""
    found = []
    for source in sources:
        for fewest, most, _ in source.ranges(pieces):
            # Between the fewest and the most of a range only what just covers the want, or the whole range
            # for the sake of the freight, could be the cheapest.
            for quantity in {max(fewest, _covering(source, pieces)), most}:
                if pieces <= quantity <= most:
                    taken = Taken(source, quantity)
                    found.append((Purchase((), (taken,)).compared, taken))
    return found


def _covering(source: Source, pieces: int) -> int:
    return -(-pieces // source.offer.pack) * source.offer.pack


def _divided(sources: Sequence[Source], pieces: int) -> Fraction:
    """What no purchase from two or more of these sources can cost less than."""
    each = sorted(
        source.weight * Fraction(min([source.offer.price, *(price for _, price in source.offer.breaks)]))
        + source.weight * Fraction(source.offer.deposit)
        for source in sources
    )
    # Freight that could be waived counts as nothing.
    freights = sorted(
        (
            Fraction(source.offer.freight)
            if source.supplier and source.offer.free_freight_from is None
            else Fraction()
            for source in sources
        ),
    )
    # Each of two sources sends at least one piece.
    return each[0] * max(pieces - 1, 1) + each[1] + freights[0] + freights[1]
