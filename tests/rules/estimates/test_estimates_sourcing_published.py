"""Buying is locating warehouses: what is wanted are the customers, suppliers are the warehouses, freight is
what opening one costs. So published optima of facility location are optima of buying plans.

Sources: J. E. Beasley, OR-Library, "Uncapacitated warehouse location": the file cap71 and the optimal values
that OR-Library gives for it and for cap72 to cap74, whose costs of serving are the same and whose fixed costs
are 12,500, 17,500 and 25,000 instead of 7,500 (nothing for the eleventh warehouse in all four). CSPLib
problem 034, "Warehouse location", with its data of five warehouses and ten stores as the example of the
Gecode library has them; its optimum, 383, is from memory, and worked out here in a second way.
"""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from catalog.cards import OfferCard
from estimates.rules.sourcing.asked import Basket, Source, Want
from estimates.rules.sourcing.plans import bought

D = Decimal
CAP71 = Path(__file__).parent / "data" / "or-library-cap71.txt"


def offer(part: int, supplier: str, price: Decimal, freight: Decimal) -> OfferCard:
    return OfferCard(
        1, part, supplier, supplier, "EUR", price, (), 1, 1, D(0), 1, date(2026, 1, 1), None, freight=freight
    )


def or_library(fixed: Decimal) -> Basket:
    """Each customer wants one piece of a part of its own; what serving it costs is the price."""
    numbers = iter(CAP71.read_text().split())
    warehouses, customers = int(next(numbers)), int(next(numbers))
    opening = [(D(next(numbers)), D(next(numbers)))[1] and fixed for _ in range(warehouses)]
    sources = []
    for customer in range(customers):
        next(numbers)  # the demand: the costs are for all of it
        for warehouse in range(warehouses):
            price = D(next(numbers))
            sources.append(Source(offer(customer, f"w{warehouse:02}", price, opening[warehouse])))
    assert next(numbers, None) is None
    return Basket(tuple(Want((c,), "", 1, (((c, 1),),)) for c in range(customers)), tuple(sources))


@pytest.mark.parametrize(
    ("fixed", "optimum"),
    [
        ("7500", "932615.750"),
        ("12500", "977799.400"),
        ("17500", "1010641.450"),
        ("25000", "1034976.975"),
    ],
    ids=["cap71", "cap72", "cap73", "cap74"],
)
def test_the_cheapest_plan_is_the_published_optimum_of_or_library(fixed, optimum):
    plan = bought(or_library(D(fixed)), "cheapest")
    assert plan is not None
    assert plan.total == D(optimum)


# CSPLib 034: how many stores a warehouse can serve, and by store what serving it from each costs
CAPACITY = (1, 4, 2, 1, 3)
MAINTENANCE = D(30)
SUPPLY = (
    (20, 24, 11, 25, 30), (28, 27, 82, 83, 74), (74, 97, 71, 96, 70), (2, 55, 73, 69, 61),
    (46, 96, 59, 83, 4), (42, 22, 29, 67, 59), (1, 5, 73, 59, 56), (10, 73, 13, 43, 96),
    (93, 35, 63, 85, 46), (47, 65, 55, 71, 95),
)  # fmt: skip


def by_places_left() -> int:
    """Store after store, the least it costs to leave just these places in the warehouses."""
    least = {CAPACITY: 0}
    for costs in SUPPLY:
        further: dict[tuple[int, ...], int] = {}
        for left, spent in least.items():
            for warehouse, cost in enumerate(costs):
                if left[warehouse]:
                    opened = 30 if left[warehouse] == CAPACITY[warehouse] else 0
                    then = tuple(n - (w == warehouse) for w, n in enumerate(left))
                    further[then] = min(spent + cost + opened, further.get(then, 10**9))
        least = further
    return min(least.values())


def test_the_cheapest_plan_is_the_published_optimum_of_csplib_034():
    # A store wants a place in a warehouse, of which the shelf holds as many as it can serve, together with
    # the haul from there, which costs 30 once for each warehouse.
    places = [Source(offer(w, "", D(0), D(0)), CAPACITY[w], "shelf") for w in range(5)]
    hauls = {(s, w): 100 + 5 * s + w for s in range(10) for w in range(5)}
    sources = [Source(offer(part, f"w{w}", D(SUPPLY[s][w]), MAINTENANCE)) for (s, w), part in hauls.items()]
    wants = tuple(Want((s,), "", 1, tuple(((w, 1), (hauls[s, w], 1)) for w in range(5))) for s in range(10))
    plan = bought(Basket(wants, (*places, *sources)), "cheapest")
    assert plan is not None
    assert plan.total == 383 == by_places_left()
