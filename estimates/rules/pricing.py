"""From items to lines, from lines to totals: what a customer reads and can add up.

Labour is billed once on the total minutes; each item carries its share, to the cent. A part line is pieces
times the sell price; a deposit is a line of its own. Supplies and fees are charges on the document. Every
item that is not firm states what it adds to the firm total, tax included, worked out as the difference of the
two totals. Three totals stand at the end: firm; firm and every contingent item (not above this without asking
again); and with every option too.

Half an hour of work at 60.00 an hour with 20 % tax; a second piece of work of 12 minutes may be added:

>>> from catalog.cards import PositionCard
>>> from estimates.rules.plan import Task
>>> from shop.rules.markup import MarkupBand
>>> from shop.rules.tax import TaxRate
>>> engine = PositionCard("engine", "engine", None)
>>> def item(key, group, minutes):
...     return Item(key, group, key, (), (Task(key, key, key, engine, minutes, frozenset(), (), ()),))
>>> terms = Terms("EUR", Decimal("60.00"), Decimal("0.1"), (MarkupBand(ZERO, ZERO),), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",)})
>>> priced = price(Plan((item("belt", "firm", 30), item("hose", "optional", 12)), {}, (), ()), {}, terms)
>>> priced.firm.with_tax, priced.items[1].adds, priced.items[1].later, priced.options.with_tax
(Decimal('36.00'), Decimal('14.40'), Decimal('14.40'), Decimal('50.40'))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from estimates.rules.labour import exact_shares
from estimates.rules.lines import Line, labour_line, part_lines
from estimates.rules.plan import Group, Item, NeedAt, Plan, arising
from estimates.rules.sums import (
    ZERO,
    categories_of,
    charges_on,
    parts_and_deposits,
    totals_of_lines,
    totals_of_work,
    with_tax,
)
from estimates.rules.supply import Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import ACCESS, NeedKey, Workload, added, as_labour, workload
from shop.rules.currency import round_money
from shop.rules.remainder import largest_remainder, split_money
from shop.rules.totals import Adjustment, Totals


@dataclass(frozen=True, slots=True)
class PricedItem:
    """An item with its lines; `adds` is what it puts on the firm total, tax included, None for firm items.

    `later` and `later_minutes`: what it comes to alone, on a visit of its own, tax included.
    """

    item: Item
    lines: tuple[Line, ...]
    net: Decimal
    adds: Decimal | None
    minutes: int
    later: Decimal | None = None
    later_minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Labour:
    """How the labour of the firm items came about. `apart` is what the minutes would be item by item."""

    minutes: int
    hours: Decimal
    rate: Decimal
    amount: Decimal
    apart: int


@dataclass(frozen=True, slots=True)
class Priced:
    """The whole estimate, priced. `problems` keep it from being issued; they are sentences."""

    items: tuple[PricedItem, ...]
    charges: tuple[Adjustment, ...]
    labour: Labour
    firm: Totals
    ceiling: Totals
    options: Totals
    problems: tuple[str, ...]

    def group(self, group: Group) -> tuple[PricedItem, ...]:
        return tuple(priced for priced in self.items if priced.item.group == group)


def price(plan: Plan, supplies: Mapping[NeedKey, Supply], terms: Terms) -> Priced:
    """Price a plan. `supplies` answers every need of every item (see estimates.rules.supply)."""
    firm_items = plan.group("firm")
    firm = workload(firm_items, plan.steps)
    firm_priced = _firm_items(firm_items, firm, supplies, terms)
    sums = categories_of(firm, supplies, terms)
    base = _Base(firm, sums, with_tax(sums, terms))
    others = tuple(
        _other_item(item, plan, base, supplies, terms) for item in plan.items if item.group != "firm"
    )
    contingent = arising(plan.group("contingent"), {item.key for item in firm_items})
    with_contingent = workload((*firm_items, *contingent), plan.steps)
    with_all = workload(plan.items, plan.steps)
    hours, amount = terms.labour_price(firm.minutes)
    alone = sum(workload([item], plan.steps).minutes for item in firm_items)
    printed = [line for priced in firm_priced for line in priced.lines]
    return Priced(
        items=(*firm_priced, *others),
        charges=charges_on(base.categories, terms),
        labour=Labour(firm.minutes, hours, terms.labour_rate, amount, alone),
        firm=totals_of_lines(printed, base.categories, terms),
        ceiling=totals_of_work(with_contingent, supplies, terms),
        options=totals_of_work(with_all, supplies, terms),
        problems=_problems(with_all.needs.values(), supplies),
    )


def _firm_items(
    items: Sequence[Item], load: Workload, supplies: Mapping[NeedKey, Supply], terms: Terms
) -> tuple[PricedItem, ...]:
    exact = exact_shares(*as_labour(load))
    weights: dict[str, Fraction] = defaultdict(Fraction)
    counted: set[str] = set()
    for item in items:
        for task in item.tasks:
            # A task in two items counts with the first.
            weights[item.key] += exact[task.key] if task.key not in counted else 0
            counted.add(task.key)
    with_labour = [item for item in items if item.key in weights]
    whole = largest_remainder(load.minutes, list(weights.values()))
    minutes = dict(zip(weights, whole, strict=True))
    _, amount = terms.labour_price(load.minutes)
    amounts = (
        split_money(amount, [weights[item.key] for item in with_labour], terms.currency) if amount else ()
    )
    labour = dict(zip((item.key for item in with_labour), amounts, strict=True)) if amounts else {}
    by_owner: dict[str, list[NeedAt]] = defaultdict(list)
    for key, need in load.needs.items():
        by_owner[load.owners[key]].append(need)
    priced = []
    for item in items:
        lines = part_lines(item.key, by_owner[item.key], supplies, terms)
        if item.key in weights:
            lines.insert(
                0,
                labour_line(item, minutes[item.key], labour.get(item.key, round_money(ZERO, terms.currency))),
            )
        priced.append(_priced(item, lines, None, minutes.get(item.key, 0)))
    if by_owner[ACCESS]:
        opening = Item(ACCESS, "firm", "Opening and closing", ("used up whenever this access is opened",), ())
        priced.append(_priced(opening, part_lines(ACCESS, by_owner[ACCESS], supplies, terms), None, 0))
    return tuple(priced)


def _priced(item: Item, lines: Sequence[Line], adds: Decimal | None, minutes: int) -> PricedItem:
    return PricedItem(item, tuple(lines), sum((line.net for line in lines), ZERO), adds, minutes)


@dataclass(frozen=True, slots=True)
class _Base:
    """The firm work, its sums by category, and its total with tax."""

    load: Workload
    categories: dict[Category, Decimal]
    total: Decimal


def _other_item(
    item: Item, plan: Plan, base: _Base, supplies: Mapping[NeedKey, Supply], terms: Terms
) -> PricedItem:
    more = added(item, base.load, plan.steps)
    sums = dict(base.categories)
    for name, amount in parts_and_deposits(more.needs, supplies, terms).items():
        sums[name] += amount
    sums["labour"] = terms.labour_price(base.load.minutes + more.minutes)[1]
    adds = with_tax(sums, terms) - base.total
    lines = part_lines(item.key, more.needs, supplies, terms)
    if item.tasks:
        lines.insert(0, labour_line(item, more.minutes, sums["labour"] - base.categories["labour"]))
    alone = workload([item], plan.steps)
    later = with_tax(categories_of(alone, supplies, terms), terms)
    return replace(_priced(item, lines, adds, more.minutes), later=later, later_minutes=alone.minutes)


def _problems(needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply]) -> tuple[str, ...]:
    found = (supplies[need.key].problem for need in needs)
    return tuple(dict.fromkeys(problem for problem in found if problem))
