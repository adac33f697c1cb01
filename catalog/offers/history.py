"""What a supplier has asked for a part over time: its offers, in the order of their first days."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.models import Offer, Part, Supplier
from catalog.rules.pricejump import Move


@dataclass(frozen=True, slots=True)
class Step:
    """One offer. `until` is its last day in force: its own, or the day before the next one starts."""

    first: date
    last: date | None
    price: Decimal
    breaks: tuple[tuple[int, Decimal], ...]
    pack: int
    minimum_quantity: int
    deposit: Decimal
    lead_days: int
    valid_until: date | None
    move: Move | None


@dataclass(frozen=True)
class History:
    """The prices of one supplier for one part, the oldest first; never empty."""

    supplier: Supplier
    steps: tuple[Step, ...]

    def newest_first(self) -> tuple[Step, ...]:
        return self.steps[::-1]

    @property
    def has_picture(self) -> bool:
        return len(self.steps) > 1


def price_histories(part: Part) -> list[History]:
    """Every supplier that offered the part, by name. Two statements."""
    offers = (
        Offer.objects.filter(part=part)
        .select_related("supplier")
        .prefetch_related("breaks")
        .order_by("supplier__name", "supplier_id", "valid_from")
    )
    grouped: dict[int, list[Offer]] = {}
    for offer in offers:
        grouped.setdefault(offer.supplier_id, []).append(offer)
    return [History(group[0].supplier, _steps(group)) for group in grouped.values()]


def _steps(offers: list[Offer]) -> tuple[Step, ...]:
    found = []
    for place, offer in enumerate(offers):
        before = offers[place - 1] if place else None
        following = offers[place + 1] if place + 1 < len(offers) else None
        last = offer.valid_until
        if following is not None and (last is None or last >= following.valid_from):
            last = date.fromordinal(following.valid_from.toordinal() - 1)  # the newest counts
        found.append(
            Step(
                first=offer.valid_from,
                last=last,
                price=offer.price,
                breaks=tuple((step.quantity_from, step.price) for step in offer.breaks.all()),
                pack=offer.pack,
                minimum_quantity=offer.minimum_quantity,
                deposit=offer.deposit,
                lead_days=offer.lead_days,
                valid_until=offer.valid_until,
                move=Move(before.price, offer.price) if before else None,
            )
        )
    return tuple(found)
