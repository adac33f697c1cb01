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

from dataclasses import replace
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
    made = program(basket)
    values = minimum(made.cost, made.upper, made.rows)
    if values is None:
        return None
    found = _checked(made, basket, values)
    if _unbeatable(basket, found):
        return found
    return _tied(made, basket, values, by_suppliers=True)


def _fewest(basket: Basket) -> Purchase | None:
    made = program(basket)
    counted = [0] * len(made.upper)
    for column in made.suppliers.values():
        counted[column] = 1
    values = minimum(counted, made.upper, made.rows)
    if values is None:
        return None
    ordered: Terms = [(column, 1) for column in made.suppliers.values()]
    if ordered:
        made.rows.append((None, sum(values[column] for column, _ in ordered), ordered))
    values = minimum(made.cost, made.upper, made.rows)
    if values is None:
        raise Unproven("a number of suppliers that was enough is not any more")
    found = _checked(made, basket, values)
    if _first_ways(basket, found) and found.days <= _first_day(basket):
        return found
    return _tied(made, basket, values, by_suppliers=False)


def _soonest(basket: Basket) -> Purchase | None:
    days = _first_day(basket)
    while True:
        left = replace(basket, sources=tuple(s for s in basket.sources if s.offer.lead_days <= days))
        found = _cheapest(left)
        later = [s.offer.lead_days for s in basket.sources if s.offer.lead_days > days]
        if found is not None or not later:
            return found
        days = min(later)


def _tied(made: Program, basket: Basket, values: list[int], *, by_suppliers: bool) -> Purchase:
    """Of the plans that cost the same: fewer suppliers first, then sooner, then the parts named first."""
    spent = sum(cost * value for cost, value in zip(made.cost, values, strict=True))
    rows = [*made.rows, (None, spent, [(column, cost) for column, cost in enumerate(made.cost) if cost])]
    last = max((used.source.offer.lead_days for used in made.used), default=0)
    upper, latest = [*made.upper, last], len(made.upper)
    rows += [
        (0, None, [(latest, 1), (used.switch, -used.source.offer.lead_days)])
        for used in made.used
        if used.source.offer.lead_days
    ]
    cost = [0] * len(upper)
    for columns in made.ways:
        for order, column in enumerate(columns):
            cost[column] = order
    cost[latest] = 1 + sum(max(len(columns) - 1, 0) for columns in made.ways)
    if by_suppliers:
        for column in made.suppliers.values():
            cost[column] = cost[latest] * (last + 1)
    better = minimum(cost, upper, rows)
    if better is None:
        raise Unproven("a plan that was found cannot be found again")
    return _checked(made, basket, better[:-1])


def _checked(made: Program, basket: Basket, values: list[int]) -> Purchase:
    """The purchase, once its cost worked out anew is what the program says."""
    found = made.purchase(basket, values)
    spent = sum(cost * value for cost, value in zip(made.cost, values, strict=True))
    if spent * made.unit != found.compared:
        # An order that is switched on with nothing in it, or freight paid where it is waived, costs nothing
        # where freight is 0; anything else is a fault.
        raise Unproven(f"the plan costs {found.compared}, not {spent * made.unit}")
    return found


def _unbeatable(basket: Basket, found: Purchase) -> bool:
    """Whether no plan could have fewer suppliers, be there sooner, or take parts that are named before."""
    fewest = 0 if any(source.kind != "supplier" for source in basket.sources) else 1
    soon = found.days <= _first_day(basket)
    return len(found.suppliers) <= fewest and soon and _first_ways(basket, found)


def _first_ways(basket: Basket, found: Purchase) -> bool:
    return all(want.ways[0] == way for want, way in zip(basket.wants, found.ways, strict=True))


def _first_day(basket: Basket) -> int:
    """Days before which the basket cannot be complete."""
    soonest: dict[int, int] = {}
    for source in basket.sources:
        soonest[source.part] = min(source.offer.lead_days, soonest.get(source.part, source.offer.lead_days))
    never = max((source.offer.lead_days for source in basket.sources), default=0)
    return max(
        min(max(soonest.get(part, never) for part, _ in way) for way in want.ways) for want in basket.wants
    )
