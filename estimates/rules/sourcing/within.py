"""What the shop's wishes leave to choose from, and what cannot be had within them.

A day by which parts are needed rules out what comes later; "original only" rules out other grades; a blocked
supplier never gets here. "Preferred within 10 %" leaves everything in, but counts what is not preferred 10 %
dearer when plans are compared, so that the preferred one wins where it costs at most that much more. A want
that nothing within the wishes answers is named, with the day by which it could be had; then it is bought as
soon as can be, since the day cannot be kept.

>>> from decimal import Decimal
>>> from catalog.cards import OfferCard
>>> today = date(2026, 3, 2)
>>> late = Source(OfferCard(1, 1, "yard", "Yard", "EUR", Decimal(9), (), 1, 1, Decimal(0), 5, today, None))
>>> wants = (Want(("belt",), "belt", 1, (((1, 1),),)),)
>>> left = within(wants, (late,), frozenset(), Wishes(today, needed_by=today + timedelta(days=2)))
>>> left.unmet[0].text
'belt cannot be there by 4 March 2026; the earliest is 7 March 2026'
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from catalog.rules.interval import day_text
from estimates.rules.sourcing.asked import Basket, Bundle, Source, Want
from estimates.rules.sourcing.plans import PlanName

Grade = Literal["any", "preferred", "original"]


@dataclass(frozen=True)
class Wishes:
    """How the shop wants to buy. The premiums are percent that what is preferred may cost more."""

    today: date
    needed_by: date | None = None
    grade: Grade = "any"
    original_premium: Decimal = Decimal(0)
    preferred_premium: Decimal = Decimal(0)
    plan: PlanName = "cheapest"

    @property
    def days(self) -> int | None:
        """Days that are left; negative where the day is past, None where there is none."""
        return None if self.needed_by is None else (self.needed_by - self.today).days


@dataclass(frozen=True)
class Unmet:
    """A want that cannot be met within the wishes: why, and the first day on which it could be there, None
    where nobody could say. `priced` says that it is bought outside the wishes."""

    want: Want
    text: str
    possible: date | None = None
    priced: bool = True


@dataclass(frozen=True)
class Left:
    """What is left to choose from, and what cannot be met within the wishes."""

    basket: Basket
    unmet: tuple[Unmet, ...] = field(default=())


def within(
    wants: Sequence[Want], sources: Sequence[Source], originals: Collection[int], wishes: Wishes
) -> Left:
    """The basket within the wishes. Wants that cannot be met at all are left out of it and named."""
    unmet: list[Unmet] = []
    asked: list[Want] = []
    late: dict[int, int | None] = {}
    for want in wants:
        graded = _graded(want, originals, wishes)
        if not graded.ways:
            unmet.append(Unmet(want, f"no original {want.name} that fits can be had", priced=False))
            continue
        possible = _first_day(graded, sources)
        if possible is None and not _enough(graded, sources):
            unmet.append(Unmet(want, f"not enough of {want.name}: {_held(graded, sources)}", priced=False))
            continue
        asked.append(graded)
        if (
            wishes.days is None
            or wishes.needed_by is None
            or (possible is not None and possible <= wishes.days)
        ):
            continue
        unmet.append(_late(graded, possible, wishes, wishes.needed_by))
        for part in _parts(graded):
            late[part] = None if possible is None else max(possible, late.get(part, 0) or 0)
    kept = [source for source in sources if _in_time(source, wishes, late)]
    weighed = _weighed(asked, kept, originals, wishes)
    return Left(Basket(tuple(asked), tuple(weighed)), tuple(unmet))


def alone(want: Want, sources: Iterable[Source], sent: Collection[str]) -> Basket:
    """One want for itself; from suppliers in `sent` it comes along with an order that is placed anyway."""
    parts = _parts(want)
    return Basket(
        (want,),
        tuple(
            replace(source, kind="along") if source.supplier in sent else source
            for source in sources
            if source.part in parts
        ),
    )


def _parts(want: Want) -> set[int]:
    return {part for way in want.ways for part, _ in way}


def _graded(want: Want, originals: Collection[int], wishes: Wishes) -> Want:
    if wishes.grade != "original":
        return want
    return replace(want, ways=tuple(way for way in want.ways if all(part in originals for part, _ in way)))


def _first_day(want: Want, sources: Sequence[Source]) -> int | None:
    """Days until all pieces could be there; None where nobody promises a day."""
    days = [day for way in want.ways if (day := _day_of(way, want.pieces, sources)) is not None]
    return min(days, default=None)


def _day_of(way: Bundle, pieces: int, sources: Sequence[Source]) -> int | None:
    last = 0
    for part, per in way:
        promised = sorted(
            (source.offer.lead_days, _reach(source, per * pieces))
            for source in sources
            if source.part == part and source.kind != "list"
        )
        got, day = 0, None
        for days, reach in promised:
            got += reach
            if got >= per * pieces:
                day = days
                break
        if day is None:
            return None
        last = max(last, day)
    return last


def _enough(want: Want, sources: Sequence[Source]) -> bool:
    return any(
        all(
            sum(_reach(source, per * want.pieces) for source in sources if source.part == part)
            >= per * want.pieces
            for part, per in way
        )
        for way in want.ways
    )


def _reach(source: Source, pieces: int) -> int:
    return max((most for _, most, _ in source.ranges(pieces)), default=0)


def _held(want: Want, sources: Sequence[Source]) -> str:
    held = sum(source.at_most or 0 for source in sources if source.part in _parts(want))
    return f"{held} on the shelf, and nobody offers more"


def _late(want: Want, possible: int | None, wishes: Wishes, needed_by: date) -> Unmet:
    text = f"{want.name} cannot be there by {day_text(needed_by)}"
    if possible is None:
        return Unmet(want, f"{text}: no supplier offers it, so no day can be told")
    day = wishes.today + timedelta(days=possible)
    return Unmet(want, f"{text}; the earliest is {day_text(day)}", day)


def _in_time(source: Source, wishes: Wishes, late: dict[int, int | None]) -> bool:
    if wishes.days is None:
        return True
    if source.part in late:
        days = late[source.part]
        return days is None or (source.kind != "list" and source.offer.lead_days <= days)
    return source.kind != "list" and source.offer.lead_days <= wishes.days


def _weighed(
    wants: Sequence[Want], sources: Sequence[Source], originals: Collection[int], wishes: Wishes
) -> list[Source]:
    """The sources with what they count for. A premium only counts where there is something to prefer."""
    offered = {source.part for source in sources}
    preferred = {source.part for source in sources if source.offer.preferred}
    by_grade: set[int] = set()
    by_supplier: set[int] = set()
    for want in wants:
        parts = _parts(want)
        if any(all(part in originals and part in offered for part, _ in way) for way in want.ways):
            by_grade |= parts - set(originals)
        if parts & preferred:
            by_supplier |= parts
    found = []
    for source in sources:
        weight = Fraction(1)
        if wishes.grade == "preferred" and source.part in by_grade:
            weight *= 1 + Fraction(wishes.original_premium) / 100
        if source.part in by_supplier and not source.offer.preferred and source.kind != "shelf":
            weight *= 1 + Fraction(wishes.preferred_premium) / 100
        found.append(replace(source, weight=weight) if weight != 1 else source)
    return found
