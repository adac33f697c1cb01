"""The answer to a need: the parts, what a piece costs and sells for, and what is still open about it.

>>> part = PartCard(1, "orlin", "Orlin", "OR-1", "clip", "clip", "", "original")
>>> pair = Supply((Piece(part, 2, None, Decimal("1.00"), Decimal("1.50"), Decimal("0.10"), ""),))
>>> pair.price, pair.to_pay
(Decimal('3.00'), Decimal('3.20'))
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from catalog.cards import OfferCard, PartCard
from estimates.rules.sourcing.asked import Taken


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a supply: `per` of it for each piece needed; cost and price per piece without tax.

    `taken` says from where it comes in the plan; `offer` is the one that most pieces come from, None for a
    list price. Where it comes from several, cost and deposit are what a piece comes to on average.
    """

    part: PartCard
    per: int
    offer: OfferCard | None
    cost: Decimal
    price: Decimal
    deposit: Decimal
    why: str
    taken: tuple[Taken, ...] = ()

    @property
    def suppliers(self) -> tuple[str, ...]:
        """Codes of all suppliers it comes from; none from the shelf or at a list price."""
        offers = [one.source.offer for one in self.taken] or ([self.offer] if self.offer else [])
        return tuple(dict.fromkeys(offer.supplier for offer in offers if offer.supplier))


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
