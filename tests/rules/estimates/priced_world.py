"""Shops, jobs and choices made from one drawn number, and what they come to worked out a second time.

The second time is in plain Decimals and Fractions by brute force, without the project's rules for workload,
labour, discounts, tax or totals.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from random import Random
from typing import Any

from estimates.rules.byhand import Adjustments, DiscountIn, HandIn, PaymentIn, with_hand_lines
from estimates.rules.derive import TestDone, derive
from estimates.rules.plan import Item, Plan
from estimates.rules.pricing import Priced, price
from estimates.rules.supply import Market, Supply, resolve_plan
from estimates.rules.terms import Terms
from shop.rules.markup import MarkupBand
from shop.rules.tax import TaxRate
from tests.rules.estimates.small_engine import (
    ENGINE,
    FACTS,
    FOUR,
    ONE,
    PRICES,
    THREE,
    TODAY,
    TWO,
    V4,
    A,
    B,
    D,
    book,
    found,
    operation,
    risk,
    terms,
    whole_market,
)  # fmt: skip

MINOR = {"EUR": 2, "JPY": 0, "KWD": 3}
WHERE = [
    *(("heater", place) for place in (ONE, TWO, THREE, FOUR)), ("harness", A), ("harness", B), ("clip", A),
    ("clip", B), ("belt", ENGINE), ("relay", ENGINE),
]  # fmt: skip
DONE = [TestDone("resistance", ONE), TestDone("resistance", THREE), TestDone("lamp", ENGINE)]
SERVICE = book(operation("relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "if torn"),)))
CATEGORIES = ("labour", "parts", "fees", "bought-in", "deposit")


@dataclass(frozen=True)
class World:
    """One shop, one market with a price break, one job, and what a person set on its price."""

    how: Terms
    found: tuple[Any, ...]
    done: tuple[TestDone, ...]
    shop: Market
    hands: tuple[HandIn, ...]
    adjust: Adjustments

    @property
    def places(self) -> int:
        return MINOR[self.how.currency]

    def plan(self, taken: Iterable[str] = ()) -> Plan:
        taken = set(taken)
        return with_hand_lines(derive(SERVICE, self.found, self.done, included=taken), self.hands, taken)

    def supplies(self, plan: Plan) -> dict[Any, Supply]:
        return resolve_plan(plan, self.shop, FACTS, V4, self.how)

    def priced(self, taken: Iterable[str] = ()) -> Priced:
        """As the builder does it: parts are looked for anew after every switch."""
        plan = self.plan(taken)
        return price(plan, self.supplies(plan), self.how, self.adjust)


def world(seed: int) -> World:
    random = Random(seed)
    currency = random.choice(sorted(MINOR))

    def amount(most: int, least: int = 0) -> Decimal:
        return Decimal(random.randint(least, most)).scaleb(-MINOR[currency])

    rates = {
        key: TaxRate(key, key, Decimal(random.randint(1, 30_000)).scaleb(-3), "S")
        for key in "abc" if random.random() < 0.6
    }  # fmt: skip

    def some() -> tuple[str, ...]:
        return tuple(key for key in rates if random.random() < 0.7)

    bands = [MarkupBand(D("0"), Decimal(random.randint(0, 1200)).scaleb(-1))]
    if random.random() < 0.5:
        bands.append(MarkupBand(D("20"), Decimal(random.randint(0, 1200)).scaleb(-1)))
    how = terms(
        currency=currency,
        labour_rate=amount(200_000),
        increment=random.choice([D("0.1"), D("0.25"), D("0.5"), D("1"), D("0.05")]),
        bands=tuple(bands),
        markup_mode=random.choice(["stepped", "continuous"]),
        rates=rates,
        taxes={category: some() for category in CATEGORIES},
        supplies_percent=Decimal(random.randint(0, 2000)).scaleb(-2),
        supplies_cap=random.choice([None, amount(5_000)]),
        fees=(("oil", "Disposal", amount(5_000)),),
    )
    judged = tuple(
        found(
            code, place, random.choice(["confirmed", "suspected", "advisory"]), quantity=random.randint(1, 9)
        )
        for code, place in random.sample(WHERE, random.randint(0, 4))
    )
    done = tuple(test for test in DONE if random.random() < 0.4)
    market = whole_market(
        {code: str(amount(90_000)) for code in PRICES},
        deposit=str(amount(3_000)),
        currency=currency,
        breaks=((random.randint(2, 6), str(amount(5_000))),),
    )
    hands = tuple(
        HandIn(
            f"hand:{number}",
            random.choice(["firm", "contingent", "optional"]),
            random.choice(["parts", "fees", "bought-in"]),
            "by hand",
            "",
            Decimal(random.randint(1, 4000)).scaleb(-3),
            amount(30_000),
        )
        for number in range(random.choice([0, 0, 1, 2]))
    )
    first = World(how, judged, done, market, hands, Adjustments())

    def discount(item: str) -> DiscountIn:
        if random.random() < 0.5:
            return DiscountIn(item, Decimal(random.randint(1, 100_0000)).scaleb(-4), None, "kind")
        return DiscountIn(item, None, amount(60_000, 1), "kind")

    keys = [item.key for item in first.plan().items]
    discounts = [discount(key) for key in keys if random.random() < 0.25]
    if random.random() < 0.4:
        discounts.append(discount(""))
    payments = (PaymentIn(amount(50_000, 1), TODAY, "cash"),) if random.random() < 0.3 else ()
    senders = sorted({card.supplier for cards in market.offers.values() for card in cards})
    freight = {code: amount(2_000) for code in senders if random.random() < 0.3}
    return World(how, judged, done, market, hands, Adjustments(tuple(discounts), payments, freight))


# By pencil


def half_up(number: Decimal | Fraction, places: int) -> Decimal:
    if isinstance(number, Fraction):
        units, rest = divmod(abs(number) * 10**places, 1)
        units += rest >= Fraction(1, 2)
        return Decimal(int(units) if number >= 0 else -int(units)).scaleb(-places)
    return number.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def share_out(whole: Decimal, weights: list[Fraction], places: int) -> list[Decimal]:
    """By largest remainder, unit after unit."""
    if not whole:
        return [Decimal(0)] * len(weights)
    unit = Decimal(1).scaleb(-places)
    exact = [Fraction(whole) * weight / sum(weights) for weight in weights]
    shares = [Decimal(int(part * 10**places)) * unit for part in exact]
    while sum(shares) != whole:
        lost = [part - Fraction(share) for part, share in zip(exact, shares, strict=True)]
        shares[lost.index(max(lost))] += unit
    return shares


def off(discount: DiscountIn, base: Decimal, places: int) -> Decimal:
    if discount.percent is not None:
        return half_up(base * discount.percent / 100, places)
    assert discount.amount is not None
    return min(discount.amount, base)


@dataclass(frozen=True)
class ByPencil:
    """`nets` by category after the items' discounts; `less` off the document; `due` after payments."""

    nets: dict[str, Decimal]
    less: Decimal
    charges: Decimal
    without_tax: Decimal
    with_tax: Decimal
    due: Decimal


def by_pencil(items: Iterable[Item], plan: Plan, supplies: dict[Any, Supply], case: World) -> ByPencil:
    items, how, places = list(items), case.how, case.places
    zero = Decimal(0)
    tasks = {task.key: (task, item.key) for item in reversed(items) for task in reversed(item.tasks)}
    users: dict[str, list[str]] = {}
    for task, _ in tasks.values():
        opened, frontier = set(), set(task.steps)
        while frontier:
            opened |= frontier
            frontier = {key for step in opened for key in plan.steps[step].requires} - opened
        for key in opened:
            users.setdefault(key, []).append(task.key)
    minutes = sum(task.minutes for task, _ in tasks.values()) + sum(plan.steps[k].minutes for k in users)
    hours = half_up(Fraction(minutes, 60) / Fraction(how.increment), 0) * how.increment
    labour = half_up(hours * how.labour_rate, places)
    weights = {item.key: Fraction(0) for item in items if item.tasks}
    for task, owner in tasks.values():
        weights[owner] += task.minutes
        weights[owner] += sum(
            Fraction(plan.steps[k].minutes, len(u)) for k, u in users.items() if task.key in u
        )
    shares = dict(zip(weights, share_out(labour, list(weights.values()), places), strict=True))
    wanted: dict[Any, tuple[int, str]] = {}
    asked = [
        *(
            (need, item.key)
            for item in items
            for t in item.tasks
            if tasks[t.key][1] == item.key
            for need in t.needs
        ),
        *((need, item.key) for item in items for need in item.extras),
    ]
    order = [item.key for item in items]
    asked.sort(key=lambda pair: order.index(pair[1]))
    for need, owner in [*asked, *((need, "access") for k in users for need in plan.steps[k].needs)]:
        before = wanted.get(need.key)
        wanted[need.key] = (max(before[0], need.quantity), before[1]) if before else (need.quantity, owner)
    nets = dict.fromkeys(CATEGORIES, zero) | {"labour": labour}
    parts = dict.fromkeys([*order, "access"], zero)
    senders = set()
    for key, (quantity, owner) in wanted.items():
        for piece in supplies[key].pieces:
            parts[owner] += piece.price * piece.per * quantity
            nets["deposit"] += piece.deposit * piece.per * quantity
            senders.add(piece.offer.supplier if piece.offer else "")
    nets["parts"] = sum(parts.values(), zero)
    by_item = {d.item: d for d in case.adjust.discounts if d.item}
    for item in items:
        bases = {"labour": shares.get(item.key, zero), "parts": parts[item.key]}
        if item.hand:
            hand = half_up(item.hand.quantity * item.hand.unit_price, places)
            bases[item.hand.category] = bases.get(item.hand.category, zero) + hand
            nets[item.hand.category] += hand
        if item.key in by_item:
            there = {name: base for name, base in bases.items() if base}
            less = off(by_item[item.key], sum(there.values(), zero), places)
            for name, share in zip(
                there, share_out(less, [Fraction(b) for b in there.values()], places), strict=True
            ):
                nets[name] -= share
    document = next((d for d in case.adjust.discounts if not d.item), None)
    alike: dict[tuple[str, ...], list[str]] = {}
    for name in CATEGORIES:
        if name != "deposit" and nets[name]:
            alike.setdefault(how.taxes[name], []).append(name)
    bases = {keys: sum((nets[name] for name in names), zero) for keys, names in alike.items()}
    less = off(document, sum(bases.values(), zero), places) if document else zero
    split = (
        dict(zip(bases, share_out(less, [Fraction(b) for b in bases.values()], places), strict=True))
        if less
        else {}
    )
    supply = half_up(labour * how.supplies_percent / 100, places)
    charges = supply if how.supplies_cap is None else min(supply, how.supplies_cap)
    charges += sum((fee for _, _, fee in how.fees), zero) if any(nets.values()) else zero
    charges += sum((case.adjust.freight.get(code, zero) for code in senders), zero)
    without = sum(nets.values(), zero) - less + charges
    tax = zero
    for key, rate in how.rates.items():
        taxable = sum((nets[name] for name in CATEGORIES if key in how.taxes[name]), zero)
        taxable -= sum((share for keys, share in split.items() if key in keys), zero)
        taxable += charges if key in how.taxes["fees"] else zero
        tax += half_up(taxable * rate.percent / 100, places)
    return ByPencil(nets, less, charges, without, without + tax, without + tax - case.adjust.prepaid)
