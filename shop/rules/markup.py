"""From what a part cost to what it sells for.

The shop adds a percentage that falls as parts get dearer: say 100 % on cheap parts, 50 % from 50.00,
25 % from 200.00. There are two ways of reading such a ladder. Stepped: the whole cost takes the
percentage of its band, so a part costing 50.00 sells for less than one costing 49.99. Continuous: only
the slice of the cost inside a band takes that band's percentage, so a dearer part never sells for less.
Where the maker's list price is known the sell price stops there, but never below what the part cost.

>>> ladder = [
...     MarkupBand(Decimal(0), Decimal(100)), MarkupBand(Decimal(50), Decimal(50)),
...     MarkupBand(Decimal(200), Decimal(25)),
... ]
>>> sell_price(Decimal("60.00"), ladder, mode="stepped", currency="EUR").amount
Decimal('90.00')
>>> price = sell_price(Decimal("60.00"), ladder, mode="continuous", currency="EUR")
>>> price.amount
Decimal('115.00')
>>> print(price.reason)
cost 60.00 EUR: 100 % on the first 50.00, 50 % on the next 10.00
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from shop.rules.currency import exact_money, format_money, minor_units, round_money
from shop.rules.errors import Fault, Refused
from shop.rules.rounding import exact_fraction, round_half_up

Mode = Literal["stepped", "continuous"]


@dataclass(frozen=True, slots=True)
class MarkupBand:
    """From this cost on (inclusive), up to the next band's, this percentage is added to the cost."""

    cost_from: Decimal
    percent: Decimal


@dataclass(frozen=True, slots=True)
class SellPrice:
    """What a part sells for, without tax: `amount` in minor units and, in words, the `reason`.

    `percent` is what was added, as a share of the cost, to two decimals, before the amount was rounded;
    after a cap, what is left of it. For a part that cost nothing it is the first band's percentage.
    """

    amount: Decimal
    percent: Decimal
    reason: str


def sell_price(
    cost: Decimal,
    bands: Sequence[MarkupBand],
    *,
    mode: Mode,
    currency: str,
    list_price: Decimal | None = None,
) -> SellPrice:
    """The sell price of one piece by the shop's ladder, rounded half up once.

    `cost` is per piece and may be finer than the currency; `bands` start at cost 0 and rise; `list_price`
    is a payable amount, or None where none is set. Refused: a negative cost or list price, a ladder that
    does not start at 0, does not rise, or has a negative percentage (it would sell below cost).
    """
    exact_cost, highest = _check(cost, bands, mode, currency, list_price)
    slices = _slices(exact_cost, bands, mode)
    exact = exact_cost + sum((amount * percent / 100 for amount, percent in slices), Fraction(0))
    uncapped = round_money(exact, currency)
    places = minor_units(currency)
    working = f"cost {_plain(exact_cost, places)} {currency}: {_in_words(slices, places)}"
    if highest is None or uncapped <= highest:
        return SellPrice(uncapped, _percent_over(exact, exact_cost, bands), working)
    lowest = round_money(exact_cost, currency)
    amount = max(highest, lowest)
    before, held = format_money(uncapped, currency), format_money(highest, currency)
    if lowest > highest:
        note = f"would be {before}; the list price {held} is below cost, so it sells at cost"
    else:
        note = f"would be {before}, held at the list price {held}"
    return SellPrice(amount, _percent_over(Fraction(amount), exact_cost, bands), f"{working}; {note}")


def markup_slices(
    cost: Decimal, bands: Sequence[MarkupBand], mode: Mode
) -> tuple[tuple[Fraction, Fraction], ...]:
    """The cost cut into (amount, percentage on it), exact: what `sell_price` adds before it rounds.

    >>> ladder = [MarkupBand(Decimal(0), Decimal(100)), MarkupBand(Decimal(50), Decimal(50))]
    >>> [(int(amount), int(percent)) for amount, percent in markup_slices(Decimal(60), ladder, "continuous")]
    [(50, 100), (10, 50)]
    """
    return tuple(_slices(exact_fraction(cost, "cost"), bands, mode))


def _slices(cost: Fraction, bands: Sequence[MarkupBand], mode: Mode) -> list[tuple[Fraction, Fraction]]:
    """The cost cut into (amount, percentage): one piece when stepped, one for each band reached else."""
    reached = [band for band in bands if band.cost_from <= cost] if cost else list(bands[:1])
    if mode == "stepped":
        return [(cost, exact_fraction(reached[-1].percent, "percent"))]
    edges = [*(Fraction(band.cost_from) for band in reached), cost]
    slices = [
        (upper - lower, exact_fraction(band.percent, "percent"))
        for band, (lower, upper) in zip(reached, pairwise(edges), strict=True)
    ]
    # A cost exactly on a band's edge has nothing in that band yet.
    return [(amount, percent) for amount, percent in slices if amount] or slices[:1]


def _in_words(slices: list[tuple[Fraction, Fraction]], places: int) -> str:
    if len(slices) == 1:
        return f"{_plain(slices[0][1], 0)} % on the whole"
    return ", ".join(
        f"{_plain(percent, 0)} % on the {'next' if place else 'first'} {_plain(amount, places)}"
        for place, (amount, percent) in enumerate(slices)
    )


def _percent_over(price: Fraction, cost: Fraction, bands: Sequence[MarkupBand]) -> Decimal:
    return round_half_up((price / cost - 1) * 100 if cost else Fraction(bands[0].percent), 2)


def _plain(number: Fraction, least_places: int) -> str:
    """A decimal number written out in full, with at least so many decimals."""
    places = least_places
    while (number * 10**places).denominator != 1:
        places += 1
    return f"{round_half_up(number, places):f}"


def _check(
    cost: Decimal, bands: Sequence[MarkupBand], mode: Mode, currency: str, list_price: Decimal | None
) -> tuple[Fraction, Decimal | None]:
    exact_cost = exact_fraction(cost, "cost")
    highest = None if list_price is None else exact_money(list_price, currency, "list price")
    faults = list(_known_faults(tuple(bands)))
    if mode not in ("stepped", "continuous"):
        faults.append(Fault("markup mode", f"no mode {mode!r}", "choose stepped or continuous"))
    if exact_cost < 0:
        faults.append(Fault("cost", f"{cost} is negative", "give zero or more"))
    if highest is not None and highest < 0:
        faults.append(Fault("list price", f"{highest} is negative", "give zero or more, or leave it out"))
    if faults:
        raise Refused(faults)
    return exact_cost, highest


@lru_cache(maxsize=64)
def _known_faults(bands: tuple[MarkupBand, ...]) -> tuple[Fault, ...]:
    """A shop has one ladder and asks it for every part."""
    return tuple(ladder_faults(bands))


def ladder_faults(bands: Sequence[MarkupBand]) -> list[Fault]:
    """What is wrong with a markup ladder, for checking one when it is set up. Empty when sound."""
    if not bands:
        return [Fault("markup", "has no band", "give at least one, from cost 0")]
    faults = []
    if exact_fraction(bands[0].cost_from, "markup band 1") != 0:
        what = f"starts at {bands[0].cost_from}"
        faults.append(Fault("markup band 1", what, "start at cost 0, so that every cost has a band"))
    for place, (lower, upper) in enumerate(pairwise(bands), start=2):
        if exact_fraction(upper.cost_from, f"markup band {place}") <= lower.cost_from:
            what = f"starts at {upper.cost_from}, not above {lower.cost_from}"
            faults.append(Fault(f"markup band {place}", what, "list the bands by rising cost"))
    for place, band in enumerate(bands, start=1):
        if exact_fraction(band.percent, f"markup band {place}") < 0:
            what = f"{band.percent} % would sell below cost"
            faults.append(Fault(f"markup band {place}", what, "give 0 % or more"))
    return faults
