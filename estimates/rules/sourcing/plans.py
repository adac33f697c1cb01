"""Three plans for one basket: the cheapest, the one with the fewest suppliers, the soonest.

Each is proven by the solver. At one cost the plan with fewer suppliers is taken, then the one that is there
sooner, then always the same one. The fewest suppliers are chosen at the least cost there is with so few; the
soonest plan is the cheapest of those that are complete on the first day possible.

Two seals, cheaper from two houses than from one until freight is counted:

>>> from datetime import date
>>> from decimal import Decimal
>>> from catalog.cards import OfferCard
>>> from estimates.rules.sourcing.asked import Source, Want
>>> def offer(part, supplier, price, days):
...     return Source(OfferCard(1, part, supplier, supplier, "EUR", Decimal(price), (), 1, 1, Decimal(0),
...         days, date(2026, 1, 1), None, freight=Decimal("5.00")))
>>> wants = tuple(Want((part,), "seal", 1, (((part, 1),),)) for part in (1, 2))
>>> basket = Basket(wants, (offer(1, "depot", "9.00", 4), offer(1, "yard", "11.00", 1),
...     offer(2, "depot", "11.50", 4), offer(2, "yard", "10.00", 1)))
>>> for name in PLANS:
...     plan = bought(basket, name)
...     print(name, plan.total, plan.suppliers, plan.days)
cheapest 25.50 ('depot',) 4
fewest 25.50 ('depot',) 4
soonest 26.00 ('yard',) 1
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal, get_args

from estimates.rules.sourcing.asked import Basket, Purchase
from estimates.rules.sourcing.direct import direct
from estimates.rules.sourcing.program import Program, Terms, program
from estimates.rules.sourcing.solver import Unproven, minimum

PlanName = Literal["cheapest", "fewest", "soonest"]
PLANS: tuple[PlanName, ...] = get_args(PlanName)


@lru_cache(maxsize=512)
def bought(basket: Basket, plan: PlanName) -> Purchase | None:
    """The plan of this name; None where the basket cannot be had at all.

    The same basket is worked out once: a page asks for it again at every look.
    """
    if not basket.wants:
        return Purchase((), ())
    if plan == "soonest":
        return _soonest(basket)
    if plan == "fewest":
        return _fewest(basket)
    return _cheapest(basket)


def _cheapest(basket: Basket) -> Purchase | None:
    return direct(basket) or solved(basket)


def solved(basket: Basket) -> Purchase | None:
    """The cheapest plan by the solver alone."""
    return _sooner(basket, _cheapest_within)


def _fewest(basket: Basket) -> Purchase | None:
    made = program(basket)
    counted = [0] * len(made.upper)
    for column in made.suppliers.values():
        counted[column] = 1
    values = minimum(counted, made.upper, made.rows)
    if values is None:
        return None
    fewest = sum(values[column] for column in made.suppliers.values())
    return _sooner(basket, lambda left: _cheapest_within(left, fewest))


def _cheapest_within(basket: Basket, suppliers: int | None = None) -> Purchase | None:
    """The cheapest, from at most so many suppliers; of those that cost the same the one with the fewest, then
    the one with the parts that are named first."""
    made = program(basket)
    rows = list(made.rows)
    ordered: Terms = [(column, 1) for column in made.suppliers.values()]
    if suppliers is not None and ordered:
        rows.append((None, suppliers, ordered))
    named = 1 + sum(max(len(columns) - 1, 0) for columns in made.ways)
    cost = [one * named * (len(ordered) + 1) for one in made.cost]
    for column, _ in ordered:
        cost[column] += named
    for columns in made.ways:
        for order, column in enumerate(columns):
            cost[column] += order
    values = minimum(cost, made.upper, rows)
    return None if values is None else _checked(made, basket, values)


def _sooner(basket: Basket, best: Callable[[Basket], Purchase | None]) -> Purchase | None:
    """The best plan; while one as good can do without what comes last, that one."""
    found = best(basket)
    while found is not None and found.days > _first_day(basket):
        left = _by(basket, found.days - 1)
        other = best(left)
        if other is None or _rank(other) != _rank(found):
            return found
        found = other
    return found


def _rank(purchase: Purchase) -> tuple[Fraction, int]:
    return purchase.compared, len(purchase.suppliers)


def _by(basket: Basket, days: int) -> Basket:
    return replace(basket, sources=tuple(s for s in basket.sources if s.offer.lead_days <= days))


def _soonest(basket: Basket) -> Purchase | None:
    days = _first_day(basket)
    while True:
        found = _cheapest(_by(basket, days))
        later = [s.offer.lead_days for s in basket.sources if s.offer.lead_days > days]
        if found is not None or not later:
            return found
        days = min(later)


def _checked(made: Program, basket: Basket, values: list[int]) -> Purchase:
    """The purchase, once its cost worked out anew is what the program says."""
    found = made.purchase(basket, values)
    spent = sum(cost * value for cost, value in zip(made.cost, values, strict=True))
    if spent * made.unit != found.compared:
        # An order that is switched on with nothing in it, or freight paid where it is waived, costs nothing
        # where freight is 0; anything else is a fault.
        raise Unproven(f"the plan costs {found.compared}, not {spent * made.unit}")
    return found


def _first_day(basket: Basket) -> int:
    """Days before which the basket cannot be complete."""
    soonest: dict[int, int] = {}
    for source in basket.sources:
        soonest[source.part] = min(source.offer.lead_days, soonest.get(source.part, source.offer.lead_days))
    never = max((source.offer.lead_days for source in basket.sources), default=0)
    return max(
        min(max(soonest.get(part, never) for part, _ in way) for way in want.ways) for want in basket.wants
    )
