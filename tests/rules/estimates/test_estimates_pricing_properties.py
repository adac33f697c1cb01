"""Under random input the parts equal the whole, and any choice a customer may make prices as promised.

What a document costs is worked out a second time by brute force (priced_world). A world is made from one
drawn number, because drawing it piece by piece takes many times longer than pricing it; so each test looks
at everything that must hold in that world.
"""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from random import Random
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from estimates.rules.plan import Item, Plan, Task, arising
from estimates.rules.pricing import Priced, price
from estimates.rules.sheet import price_choice
from estimates.rules.supply import Supply, resolve_plan
from estimates.rules.taxed import firm_with_tax, item_with_tax
from tests.profiles import PROVEN
from tests.rules.estimates.priced_world import World, by_pencil, half_up, world
from tests.rules.estimates.small_engine import FACTS, V4

ZERO = Decimal(0)
seeds = st.integers(0, 2**63)
proven = settings(max_examples=PROVEN)


@proven
@given(seeds)
def test_parts_equal_the_whole_and_a_subset_prices_as_an_estimate_built_from_that_subset(seed):
    """Whatever is discounted, passed on, paid in advance or taxed, in currencies of 0, 2 and 3 decimals."""
    case, random = world(seed), Random(seed)
    plan = case.plan()
    supplies = case.supplies(plan)
    estimate = price(plan, supplies, case.how, case.adjust)
    lines_add_up(estimate, case)
    printed_with_tax_it_adds_up_too(estimate, case)
    firm = plan.group("firm")
    due = arising(plan.group("contingent"), [item.key for item in firm])
    for totals, items in (
        (estimate.firm, firm), (estimate.ceiling, [*firm, *due]), (estimate.options, plan.items),
    ):  # fmt: skip
        pencil = by_pencil(in_order(items, plan), plan, supplies, case)
        assert totals.allowance_sum == pencil.less
        assert totals.charge_sum == pencil.charges
        assert totals.without_tax == pencil.without_tax
        assert totals.with_tax == pencil.with_tax
        assert totals.due == pencil.due
        assert totals.with_tax == totals.without_tax + sum((tax.amount for tax in totals.tax), ZERO)
    if not case.adjust.discounts:
        assert estimate.firm.with_tax <= estimate.ceiling.with_tax <= estimate.options.with_tax
    what_an_item_adds_is_the_difference(estimate, plan, supplies, case, random)
    picked = {item.key for item in plan.items if random.random() < 0.6}
    a_subset_is_an_estimate_of_its_own(picked, estimate, plan, supplies, case)


def lines_add_up(estimate: Priced, case: World) -> None:
    discounts = case.adjust.by_item
    for one in estimate.items:
        assert one.net == sum((line.net for line in one.lines), ZERO)
        for line in one.lines:
            assert line.net == half_up(line.quantity * line.unit_price, case.places) - line.allowance
            assert line.net == half_up(line.net, case.places)
            assert 0 <= line.allowance <= line.gross
        discount, base = discounts.get(one.item.key), full_price(one)
        if discount is None:
            assert one.gross == one.net
        elif discount.percent is not None:
            assert one.gross - one.net == half_up(base * discount.percent / 100, case.places)
        else:
            assert one.gross - one.net == min(discount.amount, base)
    nets = sum((one.net for one in estimate.group("firm")), ZERO)
    charges = sum((charge.amount for charge in estimate.charges), ZERO)
    off = sum((allowance.amount for allowance in estimate.allowances), ZERO)
    assert nets == estimate.firm.line_sum
    assert nets - off + charges == estimate.firm.without_tax
    assert estimate.firm.due == estimate.firm.with_tax - case.adjust.prepaid


def full_price(one: Any) -> Decimal:
    return sum((line.gross for line in one.lines if line.kind != "deposit"), ZERO)


def printed_with_tax_it_adds_up_too(estimate: Priced, case: World) -> None:
    taxed = firm_with_tax(estimate)
    nets = {line.key: line for one in estimate.group("firm") for line in one.lines}
    assert nets.keys() == taxed.lines.keys()
    lines, charges = sum(taxed.lines.values(), ZERO), sum(taxed.charges, ZERO)
    assert lines + charges - sum(taxed.allowances, ZERO) == estimate.firm.with_tax
    unit = Decimal(1).scaleb(-case.places)
    for key, line in nets.items():
        rates = [case.how.rates[tax] for tax in case.how.tax_keys(line.category)]
        exact = line.net + sum((line.net * rate.percent / 100 for rate in rates), ZERO)
        assert abs(taxed.lines[key] - exact) <= unit * len(rates)
        assert taxed.lines[key] == half_up(taxed.lines[key], case.places)
    for one in estimate.items:
        if one.item.group != "firm":
            tax = sum(
                (
                    half_up(sum((n.net for n in one.lines if key in case.how.tax_keys(n.category)), ZERO)
                    * rate.percent / 100, case.places)
                    for key, rate in case.how.rates.items()
                ),
                ZERO,
            )  # fmt: skip
            assert sum(item_with_tax(one, estimate).values(), ZERO) == one.net + tax


def on_a_visit_of_its_own(item: Item) -> Item:
    """A small part that broke needs the way to it opened, which takes no minutes of its own."""
    way = Task("way", "way", "way", V4.positions[0], 0, item.access, (), ())
    return replace(item, tasks=(*item.tasks, way)) if item.access else item


def what_an_item_adds_is_the_difference(
    estimate: Priced, plan: Plan, supplies: dict[Any, Supply], case: World, random: Random
) -> None:
    offered = [one for one in estimate.items if one.adds is not None]
    firm = plan.group("firm")
    before = estimate.firm.with_tax  # held against the pencil already
    plain = replace(case, adjust=replace(case.adjust, discounts=(), payments=()))
    for one in random.sample(offered, min(len(offered), 1)):
        after = by_pencil(in_order([*firm, one.item], plan), plan, supplies, case).with_tax
        assert one.adds == after - before
        assert one.later == by_pencil([on_a_visit_of_its_own(one.item)], plan, supplies, plain).with_tax
    if not case.adjust.discounts:
        assert all(one.adds >= 0 for one in offered)


def in_order(items: Iterable[Item], plan: Plan) -> list[Item]:
    wanted = {item.key for item in items}
    return [item for item in plan.items if item.key in wanted]


def a_subset_is_an_estimate_of_its_own(
    picked: set[str], estimate: Priced, plan: Plan, supplies: dict[Any, Supply], case: World
) -> None:
    """Firm items may be left out as well as others taken in."""
    chosen = [replace(item, group="firm") for item in plan.items if item.key in picked]
    kept = tuple(d for d in case.adjust.discounts if not d.item or d.item in picked)
    built = price(
        replace(plan, items=tuple(chosen)), supplies, case.how, replace(case.adjust, discounts=kept)
    )
    choice = estimate.sheet.price(picked)
    assert choice.totals == built.firm
    assert choice.with_tax == built.firm.with_tax
    assert choice == price_choice(plan, sorted(picked), supplies, case.how, case.adjust)
    assert choice.with_tax == by_pencil(chosen, plan, supplies, case).with_tax


@settings(max_examples=200)
@given(seeds)
def test_a_switch_gives_what_was_promised_and_moves_no_price(seed):
    case, random = world(seed), Random(seed)
    before = case.priced()
    offered = [one for one in before.items if one.adds is not None]
    if not offered:
        return
    taken = random.choice(offered)
    after = case.priced([taken.item.key])
    if not case.adjust.by_item:
        # Which of two items shows a shared part first may change with the switch, and so what a discount
        # on one of them takes off.
        assert after.firm.with_tax == before.firm.with_tax + taken.adds
        assert after.options.with_tax == before.options.with_tax
    known, now = unit_prices(before), unit_prices(after)
    assert {key: amount for key, amount in now.items() if known.get(key, amount) != amount} == {}


def unit_prices(estimate: Priced) -> dict[tuple[str, int], Decimal]:
    lines = [line for one in estimate.items for line in one.lines if line.piece is not None]
    return {(line.kind, line.piece.part.id): line.unit_price for line in lines if line.piece}


@settings(max_examples=100)
@given(seeds)
@example(0)
def test_the_order_of_anything_moves_cents_between_items_but_no_total(seed):
    case, random = world(seed), Random(seed)
    case = replace(case, adjust=replace(case.adjust, discounts=()))
    plan = case.plan()
    supplies = case.supplies(plan)
    items = list(plan.items)
    random.shuffle(items)
    turned_shop = replace(
        case.shop,
        candidates={key: cards[::-1] for key, cards in reversed(list(case.shop.candidates.items()))},
        offers={key: cards[::-1] for key, cards in reversed(list(case.shop.offers.items()))},
    )
    assert resolve_plan(replace(plan, items=tuple(items)), turned_shop, FACTS, V4, case.how) == supplies
    one, turned = (
        price(replace(plan, items=tuple(order)), supplies, case.how, case.adjust)
        for order in (plan.items, items)
    )
    assert (one.firm.with_tax, one.ceiling, one.options) == (
        turned.firm.with_tax, turned.ceiling, turned.options,
    )  # fmt: skip
    assert {p.item.key: p.adds for p in one.items} == {p.item.key: p.adds for p in turned.items}
    smallest = Decimal(1).scaleb(-case.places)
    before, now = labour_lines(one), labour_lines(turned)
    assert all(abs(now[key] - before[key]) <= smallest for key in before)


def labour_lines(estimate: Priced) -> dict[str, Decimal]:
    return {p.item.key: line.net for p in estimate.items for line in p.lines if line.kind == "labour"}
