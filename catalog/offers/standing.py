"""How a supplier's offers stand on a day: how many there are, how many end soon, how many are stale."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from catalog.models import HeldPrice, Offer, PriceFile, Supplier

SOON_DAYS = 30


@dataclass(frozen=True)
class Standing:
    """Parts offered on the day; of those, offers that end within 30 days and offers that are stale."""

    offered: int
    ending: int
    stale: int
    starting: int
    confirmed_on: date | None

    @property
    def soon_days(self) -> int:
        return SOON_DAYS


def standing_of(supplier: Supplier, today: date) -> Standing:
    """Only the newest valid offer of each part counts. Two statements.

    A price is stale when it started more than `stale_after_days` ago. A complete price file repeats the
    prices it leaves as they are, so they are as fresh as the last one.
    """
    own = Offer.objects.filter(supplier=supplier)
    valid = Q(valid_from__lte=today) & (Q(valid_until__isnull=True) | Q(valid_until__gte=today))
    newer = own.filter(valid, part=OuterRef("part"), valid_from__gt=OuterRef("valid_from"))
    confirmed = _confirmed_on(supplier)
    oldest_fresh = today - timedelta(days=supplier.stale_after_days)
    stale = Q(pk__isnull=True) if confirmed and confirmed >= oldest_fresh else Q(valid_from__lt=oldest_fresh)
    counted = (
        own.filter(valid)
        .filter(~Exists(newer))
        .aggregate(
            offered=Count("pk"),
            ending=Count("pk", filter=Q(valid_until__lte=today + timedelta(days=SOON_DAYS))),
            stale=Count("pk", filter=stale),
        )
    )
    starting = own.filter(valid_from__gt=today).count()
    return Standing(starting=starting, confirmed_on=confirmed, **counted)


def _confirmed_on(supplier: Supplier) -> date | None:
    files = PriceFile.objects.filter(supplier=supplier, complete=True)
    return files.order_by("-valid_from").values_list("valid_from", flat=True).first()


def suppliers_listed() -> QuerySet[Supplier]:
    """All suppliers by name, with `waiting`, how many of their prices are held."""
    waiting = Count(
        "price_files__held_prices", filter=Q(price_files__held_prices__state=HeldPrice.State.WAITING)
    )
    return Supplier.objects.annotate(waiting=waiting).order_by("name", "code")
