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
>>> priced.firm.with_tax, priced.items[1].adds, priced.options.with_tax
(Decimal('36.00'), Decimal('14.40'), Decimal('50.40'))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from estimates.rules.labour import exact_shares
from estimates.rules.plan import Group, Item, NeedAt, Plan, arising, places_in_words
from estimates.rules.supply import Piece, Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import ACCESS, Added, NeedKey, Workload, added, as_labour, workload
from shop.rules.currency import format_money, round_money
from shop.rules.remainder import largest_remainder, split_money
from shop.rules.tax import tax_on
from shop.rules.totals import Adjustment, NetLine, Totals, document_totals, line_net

Kind = Literal["labour", "part", "consumable", "deposit"]
ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """One priced line; `net` = quantity x unit price, without tax. `minutes` on labour lines only."""

    key: str
    kind: Kind
    category: Category
    text: str
    quantity: int
    unit_price: Decimal
    net: Decimal
    minutes: int | None = None
    piece: Piece | None = None
    to_confirm: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class PricedItem:
    """An item with its lines; `adds` is what it puts on the firm total, tax included, None for firm items."""

    item: Item
    lines: tuple[Line, ...]
    net: Decimal
    adds: Decimal | None
    minutes: int


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
    base = _Base(firm, _categories(firm, supplies, terms), terms)
    others = tuple(
        _other_item(item, plan, base, supplies, terms) for item in plan.items if item.group != "firm"
    )
    contingent = arising(plan.group("contingent"), {item.key for item in firm_items})
    with_contingent = workload((*firm_items, *contingent), plan.steps)
    with_all = workload(plan.items, plan.steps)
    hours, amount = terms.labour_price(firm.minutes)
    alone = sum(workload([item], plan.steps).minutes for item in firm_items)
    return Priced(
        items=(*firm_priced, *others),
        charges=_charges(base.categories["labour"], terms),
        labour=Labour(firm.minutes, hours, terms.labour_rate, amount, alone),
        firm=_document(firm_priced, base.categories["labour"], terms),
        ceiling=_totals(with_contingent, supplies, terms),
        options=_totals(with_all, supplies, terms),
        problems=_problems(with_all.needs.values(), supplies),
    )


# Lines


def part_lines(
    owner: str, needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply], terms: Terms
) -> list[Line]:
    """Lines for these needs; places that the same supply answers share a line."""
    together: dict[tuple[str, str, int], list[NeedAt]] = defaultdict(list)
    for need in needs:
        if supplies[need.key].pieces:
            together[need.part_type, need.necessity, id(supplies[need.key])].append(need)
    lines: list[Line] = []
    for (part_type, necessity, _), same in together.items():
        supply = supplies[same[0].key]
        quantity = sum(need.quantity for need in same)
        kind: Kind = "consumable" if necessity in ("consumable", "if-damaged") else "part"
        where = places_in_words(tuple(need.place for need in same))
        for number, piece in enumerate(supply.pieces):
            key = f"{owner}/{part_type}@{'+'.join(need.place.code for need in same)}/{number}"
            pieces = quantity * piece.per
            name = piece.part.type_name
            text = f"{name}, {where}" if where else name
            net = line_net(pieces, piece.price, currency=terms.currency)
            lines.append(
                Line(
                    key,
                    kind,
                    "parts",
                    text,
                    pieces,
                    piece.price,
                    net,
                    None,
                    piece,
                    supply.to_confirm,
                    _note(supply, terms),
                )
            )
            if piece.deposit:
                deposit = round_money(piece.deposit, terms.currency)
                net = line_net(pieces, deposit, currency=terms.currency)
                text = f"Deposit on {name}, returned with the old part"
                lines.append(
                    Line(f"{key}/deposit", "deposit", "deposit", text, pieces, deposit, net, None, piece)
                )
    return lines


def _note(supply: Supply, terms: Terms) -> str:
    if not supply.to_confirm or supply.span is None:
        return ""
    low, high = (format_money(amount, terms.currency) for amount in supply.span)
    which = " or ".join(supply.candidates)
    span = f"at {high} each" if low == high else f"between {low} and {high} each, priced here at the dearest"
    return f"To be confirmed: which part fits needs {supply.to_confirm}. {which}, {span}."


def _labour_line(item: Item, minutes: int, amount: Decimal) -> Line:
    return Line(f"{item.key}/labour", "labour", "labour", "Labour", 1, amount, amount, minutes)


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
                _labour_line(
                    item, minutes[item.key], labour.get(item.key, round_money(ZERO, terms.currency))
                ),
            )
        priced.append(_priced(item, lines, None, minutes.get(item.key, 0)))
    if by_owner[ACCESS]:
        opening = Item(ACCESS, "firm", "Opening and closing", ("used up whenever this access is opened",), ())
        priced.append(_priced(opening, part_lines(ACCESS, by_owner[ACCESS], supplies, terms), None, 0))
    return tuple(priced)


def _priced(item: Item, lines: Sequence[Line], adds: Decimal | None, minutes: int) -> PricedItem:
    return PricedItem(item, tuple(lines), sum((line.net for line in lines), ZERO), adds, minutes)


# Totals by category: quick enough to be asked for every item


@dataclass(frozen=True, slots=True)
class _Base:
    load: Workload
    categories: dict[Category, Decimal]
    terms: Terms


def _categories(load: Workload, supplies: Mapping[NeedKey, Supply], terms: Terms) -> dict[Category, Decimal]:
    sums = _parts_and_deposits(load.needs.values(), supplies, terms)
    sums["labour"] = terms.labour_price(load.minutes)[1]
    return sums


def _parts_and_deposits(
    needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply], terms: Terms
) -> dict[Category, Decimal]:
    parts = deposits = round_money(ZERO, terms.currency)
    for need in needs:
        for piece in supplies[need.key].pieces:
            pieces = need.quantity * piece.per
            parts += piece.price * pieces
            if piece.deposit:
                deposits += round_money(piece.deposit, terms.currency) * pieces
    return {"parts": parts, "deposit": deposits}


def with_tax(categories: Mapping[Category, Decimal], terms: Terms) -> Decimal:
    """The total of a document with these sums by category, charges and taxes included."""
    fees = sum((charge.amount for charge in _charges(categories["labour"], terms)), ZERO)
    sums = {**categories, "fees": fees}
    total = sum(sums.values(), ZERO)
    for key, rate in terms.rates.items():
        taxable = sum((amount for name, amount in sums.items() if key in terms.tax_keys(name)), ZERO)
        total += tax_on(taxable, rate, terms.currency).amount
    return total


def _other_item(
    item: Item, plan: Plan, base: _Base, supplies: Mapping[NeedKey, Supply], terms: Terms
) -> PricedItem:
    more: Added = added(item, base.load, plan.steps)
    sums = dict(base.categories)
    for name, amount in _parts_and_deposits(more.needs, supplies, terms).items():
        sums[name] += amount
    sums["labour"] = terms.labour_price(base.load.minutes + more.minutes)[1]
    adds = with_tax(sums, terms) - with_tax(base.categories, terms)
    lines = part_lines(item.key, more.needs, supplies, terms)
    if item.tasks:
        lines.insert(0, _labour_line(item, more.minutes, sums["labour"] - base.categories["labour"]))
    return _priced(item, lines, adds, more.minutes)


# Documents


def _charges(labour: Decimal, terms: Terms) -> tuple[Adjustment, ...]:
    keys = terms.tax_keys("fees")
    charges = []
    if supplies := terms.supplies(labour):
        percent = f"{terms.supplies_percent.normalize():f}"
        capped = ", capped" if terms.supplies_capped(labour) else ""
        charges.append(
            Adjustment("supplies", f"Shop supplies, {percent} % of labour{capped}", supplies, keys)
        )
    charges += [
        Adjustment(code, name, round_money(amount, terms.currency), keys)
        for code, name, amount in terms.fees
        if amount
    ]
    return tuple(charges)


def _document(items: Sequence[PricedItem], labour: Decimal, terms: Terms) -> Totals:
    lines = [
        NetLine(line.key, line.net, terms.tax_keys(line.category))
        for priced in items
        for line in priced.lines
    ]
    return document_totals(lines, charges=_charges(labour, terms), rates=terms.rates, currency=terms.currency)


def _totals(load: Workload, supplies: Mapping[NeedKey, Supply], terms: Terms) -> Totals:
    """Totals of a whole workload; one line a category, since taxes are taken on the category's sum."""
    sums = _categories(load, supplies, terms)
    lines = [NetLine(name, amount, terms.tax_keys(name)) for name, amount in sums.items()]
    return document_totals(
        lines, charges=_charges(sums["labour"], terms), rates=terms.rates, currency=terms.currency
    )


def _problems(needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply]) -> tuple[str, ...]:
    found = (supplies[need.key].problem for need in needs)
    return tuple(dict.fromkeys(problem for problem in found if problem))
