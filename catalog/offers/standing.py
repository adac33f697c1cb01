"""How a supplier's offers stand on a day: how many there are, how many end soon, how many are stale."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from catalog.models import HeldPrice, Offer, PriceFile, Supplier
from catalog.rules.stale import stale_days, stated_on

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
    """Only the newest valid offer of each part counts. Three statements.

    Which prices are stale is told by catalog.rules.stale.
    """
    own = Offer.objects.filter(supplier=supplier)
    valid = Q(valid_from__lte=today) & (Q(valid_until__isnull=True) | Q(valid_until__gte=today))
    newer = own.filter(valid, part=OuterRef("part"), valid_from__gt=OuterRef("valid_from"))
    confirmed = confirmed_on(supplier)
    soon = Q(valid_until__lte=today + timedelta(days=SOON_DAYS))
    by_day = (
        own.filter(valid)
        .filter(~Exists(newer))
        .order_by()
        .values_list("valid_from")
        .annotate(offered=Count("pk"), ending=Count("pk", filter=soon))
    )
    offered = ending = stale = 0
    for since, of_day, ending_of_day in by_day:
        offered, ending = offered + of_day, ending + ending_of_day
        if stale_days(stated_on(since, confirmed), supplier.stale_after_days, today) is not None:
            stale += of_day
    starting = own.filter(valid_from__gt=today).count()
    return Standing(offered, ending, stale, starting, confirmed)


def confirmed_on(supplier: Supplier) -> date | None:
    """The first day of the last complete price file, which repeats the prices it leaves as they are. For
    many offers at once catalog.hot.offers says the same in SQL."""
    files = PriceFile.objects.filter(supplier=supplier, complete=True)
    return files.order_by("-valid_from").values_list("valid_from", flat=True).first()


def suppliers_listed() -> QuerySet[Supplier]:
    """All suppliers by name, with `waiting`, how many of their prices are held."""
    waiting = Count(
        "price_files__held_prices", filter=Q(price_files__held_prices__state=HeldPrice.State.WAITING)
    )
    return Supplier.objects.annotate(waiting=waiting).order_by("name", "code")
