"""From items to lines, from lines to totals: what a customer reads and can add up.

Labour is billed once on the total minutes; each item carries its share, to the cent. A part line is pieces
times the sell price; a deposit is a line of its own. Supplies and fees are charges on the document. Every
item that is not firm states what it adds to the firm total, tax included, worked out as the difference of the
two totals. Three totals stand at the end: firm; firm and every contingent item (not above this without asking
again); and with every option too. What a person set on the price (hand-written lines, discounts, payments in
advance) and freight passed on come in through `adjustments`.

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

from catalog.rules.graph import closure
from estimates.rules.byhand import NONE, Adjustments, DiscountIn, without_items
from estimates.rules.lines import Line, discounted, hand_line, labour_line, part_lines
from estimates.rules.plan import Group, Item, NeedAt, Plan
from estimates.rules.sheet import Chosen, Sheet, SheetTask, sheet_of, undiscounted
from estimates.rules.supply import Supply
from estimates.rules.terms import Terms
from estimates.rules.workload import ACCESS, NeedKey, Workload, added, workload
from shop.rules.totals import Adjustment, Totals

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PricedItem:
    """An item with its lines; `adds` is what it puts on the firm total, tax included, None for firm items.

    `later` and `later_minutes`: what it comes to alone, on a visit of its own, tax included, without the
    discounts of this one. `net` is the sum of the lines, `discount` what was taken off them before.
    """

    item: Item
    lines: tuple[Line, ...]
    net: Decimal
    adds: Decimal | None
    minutes: int
    later: Decimal | None = None
    later_minutes: int | None = None
    discount: DiscountIn | None = None

    @property
    def gross(self) -> Decimal:
        """The lines before the discount."""
        return sum((line.gross for line in self.lines), ZERO)


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
    """The whole estimate, priced. `problems` keep it from being issued; they are sentences.

    `sheet` answers what any other choice of items comes to; `chosen` is its answer for the firm ones.
    """

    items: tuple[PricedItem, ...]
    allowances: tuple[Adjustment, ...]
    charges: tuple[Adjustment, ...]
    labour: Labour
    firm: Totals
    ceiling: Totals
    options: Totals
    problems: tuple[str, ...]
    sheet: Sheet
    chosen: Chosen
    adjustments: Adjustments

    def group(self, group: Group) -> tuple[PricedItem, ...]:
        return tuple(priced for priced in self.items if priced.item.group == group)


def price(
    plan: Plan, supplies: Mapping[NeedKey, Supply], terms: Terms, adjustments: Adjustments = NONE
) -> Priced:
    """Price a plan. `supplies` answers every need of every item (see estimates.rules.supply)."""
    sheet = sheet_of(plan, supplies, terms, adjustments)
    firm_items = plan.group("firm")
    keys = [item.key for item in firm_items]
    chosen = sheet.price(keys)
    firm = workload(firm_items, plan.steps)
    firm_priced = _firm_items(firm_items, firm, supplies, chosen)
    alone = _with_own_access(undiscounted(sheet), plan)
    others = tuple(
        _other_item(item, plan, firm, supplies, chosen, alone) for item in plan.items if item.group != "firm"
    )
    hours, amount = terms.labour_price(firm.minutes)
    apart = sum(alone.price([item.key]).minutes for item in firm_items)
    return Priced(
        items=(*firm_priced, *others),
        allowances=chosen.document_allowances(),
        charges=chosen.document_charges(),
        labour=Labour(firm.minutes, hours, terms.labour_rate, amount, apart),
        firm=chosen.totals,
        ceiling=sheet.price([*keys, *sheet.arising(keys)]).totals,
        options=sheet.price(sheet.items).totals,
        problems=(
            *_problems(workload(plan.items, plan.steps).needs.values(), supplies),
            *_lost(adjustments, plan),
        ),
        sheet=sheet,
        chosen=chosen,
        adjustments=adjustments,
    )


def _with_own_access(alone: Sheet, plan: Plan) -> Sheet:
    """A small part that broke has no work of its own here; on another visit somebody has to get there."""
    requires = {key: step.requires for key, step in plan.steps.items()}
    own = {
        item.key: SheetTask(0, frozenset(closure(item.access, requires)), ())
        for item in plan.items
        # What it rides on brings the steps; a plan without that work does not know them.
        if item.access and closure(item.access, requires) <= alone.steps.keys()
    }
    if not own:
        return alone
    items = {
        key: replace(item, tasks=(*item.tasks, f"access:{key}")) if key in own else item
        for key, item in alone.items.items()
    }
    tasks = alone.tasks | {f"access:{key}": task for key, task in own.items()}
    return replace(alone, items=items, tasks=tasks)


def _firm_items(
    items: Sequence[Item], load: Workload, supplies: Mapping[NeedKey, Supply], chosen: Chosen
) -> tuple[PricedItem, ...]:
    sheet, terms = chosen.sheet, chosen.sheet.terms
    on_sheet = [sheet.items[item.key] for item in items]
    minutes = sheet.labour_shares(on_sheet, load.minutes)
    amounts = sheet.labour_shares(on_sheet, chosen.labour)
    by_owner: dict[str, list[NeedAt]] = defaultdict(list)
    for key, need in load.needs.items():
        by_owner[load.owners[key]].append(need)
    priced = []
    for item in items:
        lines = part_lines(item.key, by_owner[item.key], supplies, terms)
        if item.key in minutes:
            lines.insert(0, labour_line(item, minutes[item.key], sheet.money(amounts[item.key])))
        priced.append(_priced(item, lines, minutes.get(item.key, 0), sheet))
    if by_owner[ACCESS]:
        opening = Item(ACCESS, "firm", "Opening and closing", ("used up whenever this access is opened",), ())
        priced.append(_priced(opening, part_lines(ACCESS, by_owner[ACCESS], supplies, terms), 0, sheet))
    return tuple(priced)


def _priced(
    item: Item,
    lines: Sequence[Line],
    minutes: int,
    sheet: Sheet,
    adds: Decimal | None = None,
    later: Decimal | None = None,
    later_minutes: int | None = None,
) -> PricedItem:
    """The item with its lines, its hand-written one among them, less its discount."""
    if item.hand is not None:
        lines = [*lines, hand_line(item.hand, sheet.terms)]
    discount = sheet.discounts.get(item.key)
    if discount is not None:
        lines = discounted(lines, discount, sheet.terms.currency)
    net = sum((line.net for line in lines), ZERO)
    return PricedItem(item, tuple(lines), net, adds, minutes, later, later_minutes, discount)


def _other_item(
    item: Item,
    plan: Plan,
    firm: Workload,
    supplies: Mapping[NeedKey, Supply],
    chosen: Chosen,
    alone: Sheet,
) -> PricedItem:
    sheet = chosen.sheet
    more = added(item, firm, plan.steps)
    taken_in, apart = sheet.price([*chosen.keys, item.key]), alone.price([item.key])
    lines = part_lines(item.key, more.needs, supplies, sheet.terms)
    if item.tasks:
        lines.insert(0, labour_line(item, more.minutes, sheet.money(taken_in.labour - chosen.labour)))
    adds = sheet.money(taken_in.with_tax_units - chosen.with_tax_units)
    return _priced(item, lines, more.minutes, sheet, adds, apart.with_tax, apart.minutes)


def _problems(needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply]) -> tuple[str, ...]:
    found = (supplies[need.key].problem for need in needs)
    return tuple(dict.fromkeys(problem for problem in found if problem))


def _lost(adjustments: Adjustments, plan: Plan) -> tuple[str, ...]:
    """Discounts on items that are gone: issued in silence, a promise would be broken."""
    return tuple(
        f"the discount '{lost.reason}' is on {lost.item}, which is no longer in the estimate; take it off"
        for lost in without_items(adjustments.discounts, plan)
    )
