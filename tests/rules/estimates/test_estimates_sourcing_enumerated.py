"""Buying plans against counting every purchase there is: the program and the solver on one side, loops here.

A world is drawn from one number, so that an example stays cheap: one to three wants, parts that answer more
than one, packs, minimums, breaks, deposits, freight with thresholds, a shelf with few pieces, weights.
"""

import random
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import prod

import profiles
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.cards import OfferCard
from estimates.rules.sourcing.asked import Basket, Source, Want
from estimates.rules.sourcing.direct import direct
from estimates.rules.sourcing.plans import PLANS, bought, solved

D = Decimal
SUPPLIERS = ("depot", "harbour", "yard")


def world(seed: int) -> Basket:
    draw = random.Random(seed)
    suppliers = SUPPLIERS[: draw.choice((1, 2, 2, 3))]
    freight = {
        code: (D(draw.choice((0, 0, 30, 69))) / 10, draw.choice((None, D(4), D(9), D(15))))
        for code in suppliers
    }
    sources = []
    parts = range(1, draw.choice((2, 3, 3)) + 1)
    for part in parts:
        homes = [code for code in suppliers if draw.random() < 0.6]
        if draw.random() < 0.25 or not homes:
            homes.append("")
        for code in homes[:2]:
            price = D(draw.randint(2, 12)) / draw.choice((2, 4))
            pack = draw.choice((1, 1, 1, 2)) if code else 1
            start = draw.choice((0, 0, 2, 3, 4))
            asks, free = freight.get(code, (D(0), None))
            offer = OfferCard(
                part, part, code, code.title(), "EUR", price,
                ((start, price - D(draw.choice((25, 50))) / 100),) if start and code else (),
                pack, draw.choice((1, 1, 2)) if code else 1, D(draw.choice((0, 0, 1))) if code else D(0),
                draw.choice((0, 1, 3)) if code else 0, date(2026, 1, 1), None,
                freight=asks, free_freight_from=free,
            )  # fmt: skip
            weight = Fraction(draw.choice((100, 100, 100, 110)), 100)
            sources.append(
                Source(offer, None if code else draw.choice((1, 2)), "supplier" if code else "shelf", weight)
            )
    wants = []
    for number in range(draw.choice((1, 2, 2))):
        pool = [((part, draw.choice((1, 1, 2))),) for part in parts]
        if draw.random() < 0.2 and len(pool) > 1:
            pool.append((pool[0][0], pool[1][0]))
        ways = tuple(sorted(draw.sample(pool, draw.choice((1, 1, 2)))))
        wants.append(Want((number,), "", draw.choice((1, 1, 2)), ways))
    basket = Basket(tuple(wants), tuple(sources))
    counted = prod(len(quantities(one, basket.most[one.part])) for one in sources if one.part in basket.most)
    return basket if counted <= 300 else Basket(basket.wants[:1], basket.sources)


def quantities(source: Source, wanted: int) -> list[int]:
    """0; whole packs that cover what is wanted or less; the fewest sold and the fewest that reach a break."""
    offer = source.offer
    packs = [q for q in range(offer.pack, 40, offer.pack) if q >= offer.minimum_quantity]
    covering = next(q for q in range(offer.pack, 40, offer.pack) if q >= wanted)
    reaching = {next(q for q in packs if q >= start) for start in (1, *(start for start, _ in offer.breaks))}
    allowed = [q for q in packs if q <= covering or q in reaching]
    return [0] + [q for q in allowed if source.at_most is None or q <= source.at_most]


def every_purchase(basket: Basket):
    """(compared cost, suppliers, last day) of every purchase that covers the wants."""
    highest = {
        part: sum(
            max((per * want.pieces for way in want.ways for p, per in way if p == part), default=0)
            for want in basket.wants
        )
        for part in {source.part for source in basket.sources}
    }
    some = [source for source in basket.sources if highest[source.part]]
    ways = [
        {
            part: sum(
                per * want.pieces
                for want, way in zip(basket.wants, chosen, strict=True)
                for p, per in way
                if p == part
            )
            for part in {part for way in chosen for part, _ in way}
        }
        for chosen in product(*(want.ways for want in basket.wants))
    ]
    priced = [
        [
            (q, source.offer.piece_price(q) * q if q else D(0), source.offer.deposit * q)
            for q in quantities(source, highest[source.part])
        ]
        for source in some
    ]
    for taken in product(*priced):
        got: dict[int, int] = {}
        for source, (q, _, _) in zip(some, taken, strict=True):
            got[source.part] = got.get(source.part, 0) + q
        if not any(all(got.get(part, 0) >= pieces for part, pieces in way.items()) for way in ways):
            continue
        goods: dict[str, Decimal] = {}
        cost, last = Fraction(), 0
        for source, (q, price, deposit) in zip(some, taken, strict=True):
            if q:
                cost += source.weight * Fraction(price + deposit)
                last = max(last, source.offer.lead_days)
                if source.kind == "supplier":
                    goods[source.supplier] = goods.get(source.supplier, D(0)) + price
        for source in {source.supplier: source for source in some if source.supplier in goods}.values():
            free = source.offer.free_freight_from
            if free is None or goods[source.supplier] < free:
                cost += Fraction(source.offer.freight)
        yield cost, len(goods), last


def compared(purchase):
    return (purchase.compared, len(purchase.suppliers), purchase.days)


ORDER = {"cheapest": (0, 1, 2), "fewest": (1, 0, 2), "soonest": (2, 0, 1)}


@settings(max_examples=profiles.PROVEN)
@given(st.integers(0, 10**9))
def test_a_plan_is_the_best_of_every_purchase_there_is(seed):
    basket, name = world(seed), PLANS[seed % 3]
    every = list(every_purchase(basket))
    found = solved(basket) if name == "cheapest" else bought.__wrapped__(basket, name)
    if not every:
        assert found is None
    else:
        assert compared(found) == min(every, key=lambda one: tuple(one[n] for n in ORDER[name]))
        if name == "cheapest" and (short := direct(basket)) is not None:
            assert compared(short) == compared(found)
