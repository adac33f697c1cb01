"""What suppliers ask for sending, where the shop passes it on.

Each supplier sends once. Whether it sends free is decided by what is sure to be bought there, not by what
may be found or wished for, so that no switch changes it; a supplier of whom nothing is sure is judged by
everything that may be bought there.

>>> from datetime import date
>>> from catalog.cards import OfferCard, PartCard, PositionCard
>>> from estimates.rules.plan import Item, NeedAt
>>> from estimates.rules.supply import Piece
>>> offer = OfferCard(1, 1, "yard", "Yard", "EUR", Decimal("30.00"), (), 1, 1, Decimal(0), 1,
...     date(2026, 1, 1), None, freight=Decimal("9.50"), free_freight_from=Decimal("50.00"))
>>> hose = PartCard(1, "b", "Brand", "H-1", "hose", "hose", "", "original")
>>> engine = PositionCard("engine", "engine", None)
>>> def bought(pieces):
...     need = NeedAt("hose", "hose", pieces, engine, "required")
...     supply = Supply((Piece(hose, 1, offer, offer.price, Decimal("40.00"), Decimal(0), ""),))
...     return freight_of(Plan((Item("i", "firm", "i", (), (), (need,)),), {}, (), ()), {need.key: supply})
>>> bought(1), bought(2)
({'yard': Decimal('9.50')}, {})
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from catalog.cards import OfferCard
from estimates.rules.plan import NeedAt, Plan
from estimates.rules.supply import Supply
from estimates.rules.workload import NeedKey, workload


def freight_of(
    plan: Plan, supplies: Mapping[NeedKey, Supply], bought: Mapping[str, Decimal] | None = None
) -> dict[str, Decimal]:
    """What each supplier (code) asks for sending, those left out that send free. `bought`: what those ask of
    whom the plan of what is sure buys, deposits and whole packs counted (estimates.rules.sourcing)."""
    sure = [item for item in plan.items if item.group == "firm" and item.origin is None]
    certain = _spent(workload(sure, plan.steps).needs, supplies)
    possible = _spent(workload(plan.items, plan.steps).needs, supplies)
    asked: dict[str, Decimal] = {}
    for code, (offer, spent) in {**possible, **certain}.items():
        free_from = offer.free_freight_from
        if offer.freight and (free_from is None or spent < free_from):
            asked[code] = offer.freight
    asked |= bought or {}
    return {code: amount for code, amount in asked.items() if amount}


def _spent(
    needs: Mapping[NeedKey, NeedAt], supplies: Mapping[NeedKey, Supply]
) -> dict[str, tuple[OfferCard, Decimal]]:
    """By supplier, what is bought there, and one of its offers, which all carry its terms of sending."""
    found: dict[str, tuple[OfferCard, Decimal]] = {}
    for key, need in needs.items():
        for piece in supplies[key].pieces:
            if piece.offer is not None:
                _, spent = found.get(piece.offer.supplier, (piece.offer, Decimal(0)))
                more = piece.cost * piece.per * need.quantity
                found[piece.offer.supplier] = (piece.offer, spent + more)
    return found
