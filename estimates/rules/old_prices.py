"""Which stale prices of suppliers an estimate rests on, to be asked again before it is issued.

Nothing is changed or held back: the prices stand as they are, the person who issues knows. What stale means
is told by catalog.rules.stale. Each part and supplier is named once, in the order of their names.

>>> from decimal import Decimal
>>> from catalog.cards import OfferCard, PartCard
>>> from estimates.rules.supply import Piece
>>> plug = PartCard(1, "b", "Brand", "GX-1", "plug", "plug", "", "original")
>>> offer = OfferCard(1, 1, "depot", "Depot North", "EUR", Decimal(9), (), 1, 1, Decimal(0), 2,
...     date(2026, 1, 1), None, stale_after_days=60)
>>> supply = Supply((Piece(plug, 1, offer, Decimal(9), Decimal(12), Decimal(0), ""),))
>>> stale_prices([supply], date(2026, 3, 2))
()
>>> stale_prices([supply, supply], date(2026, 3, 3))
('Brand GX-1 from Depot North: 61 days old, last stated on 1 January 2026',)
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from catalog.rules.interval import day_text
from catalog.rules.stale import stale_days
from estimates.rules.supply import Supply


def stale_prices(supplies: Iterable[Supply], day: date) -> tuple[str, ...]:
    """In words, every offer that is stale on `day` and that one of the supplies is priced at."""
    found: set[str] = set()
    for piece in (piece for supply in supplies for piece in supply.pieces):
        offer = piece.offer
        age = offer and stale_days(offer.stated_on, offer.stale_after_days, day)
        if offer and age:
            told = f"{age} days old, last stated on {day_text(offer.stated_on)}"
            found.add(f"{piece.part.label} from {offer.supplier_name}: {told}")
    return tuple(sorted(found))
