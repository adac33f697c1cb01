"""What is sure to be bought, bought together: the plan that the prices of an estimate rest on.

Needs that the same parts answer are one want. What may only turn up, or may be wished for, is priced for
itself: from a supplier who gets an order anyway it comes without further freight, and of the shelf there is
what the plan leaves. So no switch moves a price.

>>> from datetime import date
>>> from decimal import Decimal
>>> from catalog.cards import OfferCard
>>> seal = OfferCard(1, 1, "yard", "Yard", "EUR", Decimal(9), (), 1, 1, Decimal(0), 5, date(2026, 1, 1), None,
...     freight=Decimal(5))
>>> wants = [Want(("seal",), "seal", 2, (((1, 1),),))]
>>> buying = buy(wants, [Source(seal)], frozenset(), Wishes(date(2026, 3, 2)))
>>> buying.purchase.total, buying.apart(wants[0]).total
(Decimal('23'), Decimal('18'))
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from estimates.rules.sourcing.asked import Basket, Bundle, Purchase, Source, Want
from estimates.rules.sourcing.plans import PLANS, PlanName, bought
from estimates.rules.sourcing.within import Left, Unmet, Wishes, alone, within


@dataclass(frozen=True)
class Buying:
    """The plan for what is sure, `wants` as they were asked for. `left` is what there was to choose from
    within the wishes; `sources` are all there are, of blocked suppliers too, which are never taken."""

    wants: tuple[Want, ...]
    wishes: Wishes
    left: Left
    purchase: Purchase
    sources: tuple[Source, ...]
    originals: frozenset[int]

    @property
    def unmet(self) -> tuple[Unmet, ...]:
        return self.left.unmet

    @cached_property
    def way(self) -> dict[tuple[object, ...], Bundle]:
        """By the key of a want, the parts that answer it."""
        wants = self.left.basket.wants
        return {want.key: way for want, way in zip(wants, self.purchase.ways, strict=True)}

    def plan(self, name: PlanName) -> Purchase | None:
        return self.purchase if name == self.wishes.plan else bought(self.left.basket, name)

    @property
    def plans(self) -> dict[PlanName, Purchase | None]:
        """The three side by side."""
        return {name: self.plan(name) for name in PLANS}

    @cached_property
    def _remaining(self) -> tuple[Source, ...]:
        used = {
            taken.source.part: taken.pieces for taken in self.purchase.taken if taken.source.kind == "shelf"
        }
        left = []
        for source in self.sources:
            if source.kind == "shelf" and source.at_most is not None and source.part in used:
                source = replace(source, at_most=source.at_most - used[source.part])
            if not source.offer.blocked and source.at_most != 0:
                left.append(source)
        return tuple(left)

    def apart(self, want: Want) -> Purchase | str:
        """The want bought for itself beside the plan, or why it cannot be."""
        left = within([want], self._remaining, self.originals, self.wishes)
        if not left.basket.wants:
            return left.unmet[0].text
        only = left.basket.wants[0]
        found = bought(alone(only, left.basket.sources, self.purchase.suppliers), self.wishes.plan)
        return found if found is not None else f"not enough of {want.name} can be had"


def buy(
    wants: Sequence[Want], sources: Sequence[Source], originals: Collection[int], wishes: Wishes
) -> Buying:
    """The plan of the wishes for these wants; what cannot be had is named in `unmet`."""
    usable = [source for source in sources if not source.offer.blocked]
    left = within(wants, usable, originals, wishes)
    purchase = bought(left.basket, wishes.plan)
    if purchase is None:
        left = _what_can(left)
        purchase = bought(left.basket, wishes.plan)
        assert purchase is not None
    return Buying(tuple(wants), wishes, left, purchase, tuple(sources), frozenset(originals))


def _what_can(left: Left) -> Left:
    """Each want can be had alone, but not all together: the shelf holds too little for them. Those that come
    first are served."""
    kept: list[Want] = []
    unmet = list(left.unmet)
    for want in left.basket.wants:
        if bought(Basket((*kept, want), left.basket.sources), "cheapest") is not None:
            kept.append(want)
        else:
            why = f"not enough of {want.name}: what lies on the shelf is needed elsewhere on this job"
            unmet.append(Unmet(want, why, priced=False))
    return Left(Basket(tuple(kept), left.basket.sources), tuple(unmet))
