"""Held prices: jumps that wait until a person accepts or refuses them. Only then is anything written."""

from collections.abc import Collection
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from catalog.models import HeldPrice, Offer, PriceBreak, Supplier
from catalog.offers.take import Who
from catalog.rules.pricejump import Move
from shop.events import record
from shop.rules.errors import Refused


def waiting_for(supplier: Supplier) -> QuerySet[HeldPrice]:
    """The supplier's held prices that nobody has decided yet, the oldest file first."""
    rows = HeldPrice.objects.using("default").filter(
        price_file__supplier=supplier, state=HeldPrice.State.WAITING
    )
    return rows.select_related("part__brand", "price_file").order_by("price_file__at", "row")


def move_of(held: HeldPrice) -> Move:
    return Move(held.old_price, held.price)


def breaks_of(held: HeldPrice) -> list[tuple[int, Decimal]]:
    """Pieces from and price, as they stood in the row.

    >>> breaks_of(HeldPrice(breaks="10:4.5000,50:4.2000"))
    [(10, Decimal('4.5000')), (50, Decimal('4.2000'))]
    """
    pairs = (step.split(":") for step in held.breaks.split(",") if step)
    return [(int(quantity), Decimal(price)) for quantity, price in pairs]


@transaction.atomic
def decide(supplier: Supplier, ids: Collection[int] | None, who: Who, *, accept: bool) -> list[HeldPrice]:
    """Accept (write as offers) or refuse these held prices of the supplier; None means all that wait.

    Raises Refused when one of them is not there or is decided already; then none is decided.
    """
    rows = list(waiting_for(supplier).select_for_update(of=("self",)).filter(**_wanted(ids)))
    missing = sorted(set(ids or ()) - {row.pk for row in rows})
    if missing:
        raise Refused.single(
            f"held price {missing[0]}",
            f"does not wait for a decision with {supplier.name}",
            "look at the list again: somebody may have decided it",
        )
    for held in rows:
        if accept:
            _write(held, supplier)
        held.state = HeldPrice.State.ACCEPTED if accept else HeldPrice.State.REFUSED
        held.decided_at, held.decided_by_id = who.at, None if who.by is None else who.by.pk
        held.save(update_fields=["state", "decided_at", "decided_by"])
        record(
            "held-price-accepted" if accept else "held-price-refused",
            supplier.code,
            at=who.at,
            by=who.by,
            part=str(held.part),
            file=held.price_file.name,
            row=held.row,
            old=str(held.old_price),
            new=str(held.price),
            valid_from=held.valid_from.isoformat(),
        )
    return rows


def _wanted(ids: Collection[int] | None) -> dict[str, Collection[int]]:
    return {} if ids is None else {"pk__in": ids}


def _write(held: HeldPrice, supplier: Supplier) -> None:
    offer, _ = Offer.objects.update_or_create(
        supplier=supplier,
        part_id=held.part_id,
        valid_from=held.valid_from,
        defaults={
            name: getattr(held, name)
            for name in (
                "supplier_number", "price", "pack", "minimum_quantity", "deposit", "lead_days", "valid_until",
            )
        },
    )  # fmt: skip
    offer.breaks.all().delete()
    PriceBreak.objects.bulk_create(
        PriceBreak(offer=offer, quantity_from=quantity, price=price) for quantity, price in breaks_of(held)
    )
