"""Under random input the parts equal the whole, and any choice a customer may make prices as promised.

What a document costs is worked out here a second time, in plain Decimals and by brute force, without the
project's rules for workload, labour, tax or totals.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from estimates.rules.derive import TestDone, derive
from estimates.rules.plan import Item, Plan, arising
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
WHERE = {
    "heater": (ONE, TWO, THREE, FOUR), "harness": (A, B), "clip": (A, B), "belt": (ENGINE,),
    "relay": (ENGINE,),
}  # fmt: skip
RISKY = operation("relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),))
SERVICE = book(RISKY)


def half_up(amount: Decimal, places: int) -> Decimal:
    return amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def total(items: Iterable[Item], plan: Plan, supplies: dict[Any, Supply], how: Terms) -> Decimal:
    """The total with tax of these items, by brute force."""
    places = MINOR[how.currency]
    tasks = {task.key: task for item in items for task in item.tasks}
    opened: set[str] = set()
    frontier = {key for task in tasks.values() for key in task.steps}
    while frontier:
        opened |= frontier
        frontier = {key for step in opened for key in plan.steps[step].requires} - opened
    minutes = sum(task.minutes for task in tasks.values()) + sum(plan.steps[key].minutes for key in opened)
    wanted: dict[Any, int] = {}
    for need in [
        *(need for task in tasks.values() for need in task.needs),
        *(need for key in opened for need in plan.steps[key].needs),
        *(need for item in items for need in item.extras),
    ]:
        wanted[need.key] = max(wanted.get(need.key, 0), need.quantity)
    hours = half_up(Decimal(minutes) / 60 / how.increment, 0) * how.increment
    sums = {"labour": half_up(hours * how.labour_rate, places), "parts": Decimal(0), "deposit": Decimal(0)}
    for key, quantity in wanted.items():
        for piece in supplies[key].pieces:
            sums["parts"] += piece.price * piece.per * quantity
            sums["deposit"] += piece.deposit * piece.per * quantity
    supply_charge = half_up(sums["labour"] * how.supplies_percent / 100, places)
    cap = how.supplies_cap
    fees = sum((fee for _, _, fee in how.fees), Decimal(0)) if any(sums.values()) else Decimal(0)
    sums["fees"] = (supply_charge if cap is None else min(supply_charge, cap)) + fees
    taxes = [
        half_up(sum(sums[c] for c in sums if key in how.taxes.get(c, ())) * rate.percent / 100, places)
        for key, rate in how.rates.items()
    ]
    return sum(sums.values(), Decimal(0)) + sum(taxes, Decimal(0))


@st.composite
def shops(draw) -> Terms:
    currency = draw(st.sampled_from(sorted(MINOR)))

    def amount(least: int, most: int) -> Decimal:
        return Decimal(draw(st.integers(least, most))).scaleb(-MINOR[currency])

    rates = {
        key: TaxRate(key, key, draw(st.decimals("0.001", "30", places=3)), "S")
        for key in draw(st.sets(st.sampled_from(["a", "b", "c"])))
    }
    some = st.sets(st.sampled_from(sorted(rates))).map(sorted).map(tuple) if rates else st.just(())
    bands = [MarkupBand(D("0"), draw(st.decimals("0", "120", places=1)))]
    if draw(st.booleans()):
        bands.append(MarkupBand(D("20"), draw(st.decimals("0", "120", places=1))))
    return terms(
        currency=currency,
        labour_rate=amount(0, 200_000),
        increment=draw(st.sampled_from([D("0.1"), D("0.25"), D("0.5"), D("1"), D("0.05")])),
        bands=tuple(bands),
        markup_mode=draw(st.sampled_from(["stepped", "continuous"])),
        rates=rates,
        taxes={category: draw(some) for category in ("labour", "parts", "fees", "deposit")},
        supplies_percent=draw(st.decimals("0", "20", places=2)),
        supplies_cap=draw(st.one_of(st.none(), st.just(amount(0, 5_000)))),
        fees=(("oil", "Disposal", amount(0, 5_000)),),
    )


findings = st.lists(
    st.sampled_from([(code, place) for code, places in WHERE.items() for place in places]),
    unique=True, max_size=6,
).flatmap(
    lambda at: st.tuples(
        *(
            st.builds(
                found, st.just(code), st.just(place), st.sampled_from(["confirmed", "suspected", "advisory"]),
                quantity=st.integers(1, 9),
            )
            for code, place in at
        )
    )
)  # fmt: skip
tests_done = st.lists(
    st.sampled_from([TestDone("resistance", ONE), TestDone("resistance", THREE), TestDone("lamp", ENGINE)]),
    unique=True,
).map(tuple)


@dataclass(frozen=True)
class Case:
    """One shop, one market with a price break, one job; `taken` are the items taken in."""

    how: Terms
    found: tuple[Any, ...]
    done: tuple[TestDone, ...]
    shop: Market

    def plan(self, taken: Iterable[str] = ()) -> Plan:
        return derive(SERVICE, self.found, self.done, included=set(taken))

    def supplies(self, plan: Plan) -> dict[Any, Supply]:
        return resolve_plan(plan, self.shop, FACTS, V4, self.how)

    def priced(self, taken: Iterable[str] = ()) -> Priced:
        """As the builder does it: parts are looked for anew after every switch."""
        plan = self.plan(taken)
        return price(plan, self.supplies(plan), self.how)


@st.composite
def cases(draw) -> Case:
    how, found_here, done = draw(shops()), draw(findings), draw(tests_done)

    def amount(units: int) -> str:
        return str(Decimal(units).scaleb(-MINOR[how.currency]))

    cost = draw(st.lists(st.integers(0, 90_000), min_size=len(PRICES), max_size=len(PRICES)))
    prices = {code: amount(units) for code, units in zip(PRICES, cost, strict=True)}
    breaks = ((draw(st.integers(2, 6)), amount(draw(st.integers(0, 5_000)))),)
    deposit = amount(draw(st.integers(0, 3_000)))
    return Case(
        how, found_here, done, whole_market(prices, deposit=deposit, currency=how.currency, breaks=breaks)
    )


def other(plan: Plan) -> list[str]:
    return [item.key for item in plan.items if item.group != "firm"]


@given(cases())
def test_line_nets_and_charges_are_the_firm_total_to_the_minor_unit(case):
    estimate = case.priced()
    nets = sum((line.net for one in estimate.group("firm") for line in one.lines), Decimal(0))
    charges = sum((charge.amount for charge in estimate.charges), Decimal(0))
    assert nets == estimate.firm.line_sum
    assert nets + charges == estimate.firm.without_tax
    for one in estimate.items:
        assert one.net == sum((line.net for line in one.lines), Decimal(0))
        for line in one.lines:
            assert line.net == line.quantity * line.unit_price
            assert line.net == half_up(line.net, MINOR[case.how.currency])


@given(cases())
def test_all_three_totals_are_those_worked_out_by_brute_force(case):
    estimate, plan = case.priced(), case.plan()
    supplies = case.supplies(plan)
    firm = plan.group("firm")
    due = arising(plan.group("contingent"), [item.key for item in firm])
    assert estimate.firm.with_tax == total(firm, plan, supplies, case.how)
    assert estimate.ceiling.with_tax == total([*firm, *due], plan, supplies, case.how)
    assert estimate.options.with_tax == total(plan.items, plan, supplies, case.how)
    assert estimate.firm.with_tax <= estimate.ceiling.with_tax <= estimate.options.with_tax


@given(cases())
def test_what_an_item_adds_is_the_difference_of_the_two_totals(case):
    plan = case.plan()
    supplies = case.supplies(plan)
    firm = plan.group("firm")
    for one in case.priced().items:
        if one.adds is not None:
            without, and_it = (total(items, plan, supplies, case.how) for items in (firm, [*firm, one.item]))
            assert one.adds == and_it - without
            assert one.adds >= 0


@given(cases(), st.data())
def test_taking_one_item_in_gives_exactly_the_total_that_was_promised(case, data):
    assume(other(case.plan()))
    taken = data.draw(st.sampled_from(other(case.plan())))
    before, after = case.priced(), case.priced([taken])
    promised = next(one.adds for one in before.items if one.item.key == taken)
    assert after.firm.with_tax == before.firm.with_tax + promised
    assert after.options.with_tax == before.options.with_tax


@given(cases(), st.data())
def test_any_choice_prices_like_an_estimate_built_from_that_choice(case, data):
    plan = case.plan()
    assume(other(plan))
    taken = data.draw(st.sets(st.sampled_from(other(plan))))
    chosen = [item for item in plan.items if item.group == "firm" or item.key in taken]
    alone = replace(plan, items=tuple(replace(item, group="firm") for item in chosen))
    supplies = case.supplies(plan)
    assert case.priced(taken).firm == price(alone, supplies, case.how).firm
    assert case.priced(taken).firm.with_tax == total(chosen, plan, supplies, case.how)


def unit_prices(estimate: Priced) -> dict[tuple[str, int], Decimal]:
    lines = [line for one in estimate.items for line in one.lines if line.piece is not None]
    return {(line.kind, line.piece.part.id): line.unit_price for line in lines if line.piece}


@given(cases(), st.data())
def test_no_switch_ever_moves_a_unit_price(case, data):
    assume(other(case.plan()))
    taken = data.draw(st.sets(st.sampled_from(other(case.plan())), min_size=1))
    known, now = unit_prices(case.priced()), unit_prices(case.priced(taken))
    assert {key: amount for key, amount in now.items() if known.get(key, amount) != amount} == {}


@given(cases(), st.randoms())
def test_the_order_of_items_moves_cents_between_them_but_no_total(case, random):
    plan = case.plan()
    supplies = case.supplies(plan)
    items = list(plan.items)
    random.shuffle(items)
    one, turned = (
        price(replace(plan, items=tuple(order)), supplies, case.how) for order in (plan.items, items)
    )
    assert (one.firm.with_tax, one.ceiling, one.options) == (
        turned.firm.with_tax, turned.ceiling, turned.options,
    )  # fmt: skip
    assert {p.item.key: p.adds for p in one.items} == {p.item.key: p.adds for p in turned.items}
    smallest = Decimal(1).scaleb(-MINOR[case.how.currency])
    before, now = labour_lines(one), labour_lines(turned)
    assert all(abs(now[key] - before[key]) <= smallest for key in before)


def labour_lines(estimate: Priced) -> dict[str, Decimal]:
    return {p.item.key: line.net for p in estimate.items for line in p.lines if line.kind == "labour"}


@given(cases(), st.randoms())
def test_the_choice_of_parts_does_not_hang_on_the_order_of_anything(case, random):
    plan = case.plan()
    items = list(plan.items)
    random.shuffle(items)
    turned_shop = replace(
        case.shop,
        candidates={key: cards[::-1] for key, cards in reversed(list(case.shop.candidates.items()))},
        offers={key: cards[::-1] for key, cards in reversed(list(case.shop.offers.items()))},
    )
    turned = resolve_plan(replace(plan, items=tuple(items)), turned_shop, FACTS, V4, case.how)
    assert turned == case.supplies(plan)
