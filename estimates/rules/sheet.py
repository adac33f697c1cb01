"""What any choice of items comes to, quick enough to be asked at every tick of a customer's pen.

The sheet holds of a plan only what prices need: minutes, the access each task opens, pieces with their sell
prices, discounts, freight, what was paid. It holds no cost, and what it holds never changes, so it can be
frozen with an issued estimate and answer years later what the estimate would have said to another choice. A
choice may leave out firm items too. It comes to exactly what an estimate would that was built from it alone.

Sums are reckoned in whole minor units of the currency.

>>> from catalog.cards import PositionCard
>>> from estimates.rules.plan import Task
>>> from shop.rules.markup import MarkupBand
>>> engine = PositionCard("engine", "engine", None)
>>> def item(key, group, minutes):
...     return Item(key, group, key, (), (Task(key, key, key, engine, minutes, frozenset(), (), ()),))
>>> plan = Plan((item("belt", "firm", 30), item("hose", "optional", 12)), {}, (), ())
>>> terms = Terms("EUR", Decimal("60.00"), Decimal("0.1"), (MarkupBand(Decimal(0), Decimal(0)),), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",)})
>>> sheet = sheet_of(plan, {}, terms)
>>> [sheet.price(choice).totals.with_tax for choice in (["belt"], ["hose"], ["belt", "hose"], [])]
[Decimal('36.00'), Decimal('14.40'), Decimal('50.40'), Decimal('0.00')]
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property
from math import lcm

from catalog.rules.graph import closure
from estimates.rules.byhand import NONE, Adjustments, DiscountIn, split_off
from estimates.rules.plan import Group, Item, NeedAt, Plan
from estimates.rules.supply import Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import ACCESS, NeedKey
from shop.rules.currency import minor_units, round_money
from shop.rules.errors import Fault, Refused
from shop.rules.remainder import largest_remainder
from shop.rules.rounding import divide_half_up
from shop.rules.tax import TaxRate
from shop.rules.totals import Adjustment, NetLine, Totals, document_totals, line_net

ZERO = Decimal(0)
CATEGORIES: tuple[Category, ...] = ("labour", "parts", "fees", "bought-in", "deposit")
Wanted = tuple[tuple[str, int], ...]  # pieces of each need, by the need's key


@dataclass(frozen=True, slots=True)
class SheetItem:
    """An item: its tasks and extra needs; `hand` is the net of a line written by hand, in its category."""

    key: str
    group: Group
    parents: tuple[str, ...]
    tasks: tuple[str, ...]
    extras: Wanted
    hand: tuple[Category, int] | None = None


@dataclass(frozen=True, slots=True)
class SheetTask:
    """A task: its own minutes, every step it opens with those before, and what it uses."""

    minutes: int
    steps: frozenset[str]
    needs: Wanted


@dataclass(frozen=True, slots=True)
class SheetStep:
    minutes: int
    needs: Wanted


@dataclass(frozen=True, slots=True)
class SheetPiece:
    """One piece of a need in minor units: its price, its deposit; and who sends it (codes)."""

    price: int
    deposit: int
    senders: frozenset[str]


@dataclass(frozen=True)
class Chosen:
    """What a choice comes to. `nets` by category less the items' discounts, in minor units.

    `with_tax` and `totals` say the same; the totals are made only where they are read.
    """

    sheet: Sheet
    keys: tuple[str, ...]
    minutes: int
    labour: int
    nets: dict[Category, int]
    allowances: tuple[tuple[tuple[Category, ...], int, int], ...]
    charges: tuple[tuple[str, str, int], ...]
    with_tax_units: int
    senders: frozenset[str] = frozenset()

    @property
    def with_tax(self) -> Decimal:
        return self.sheet.money(self.with_tax_units)

    def document_allowances(self) -> tuple[Adjustment, ...]:
        """The discount on the document, one allowance a set of taxes (EN 16931 BG-20: each has one)."""
        sheet, discount = self.sheet, self.sheet.document
        return tuple(
            Adjustment(
                f"discount-{number}",
                discount.reason,
                sheet.money(amount),
                sheet.terms.tax_keys(categories[0]),
            )
            for number, (categories, _, amount) in enumerate(self.allowances, 1)
            if discount is not None and amount
        )

    def document_charges(self) -> tuple[Adjustment, ...]:
        """Shop supplies, fees and freight (EN 16931 BG-21)."""
        keys = self.sheet.terms.tax_keys("fees")
        return tuple(
            Adjustment(key, reason, self.sheet.money(amount), keys) for key, reason, amount in self.charges
        )

    @cached_property
    def totals(self) -> Totals:
        sheet = self.sheet
        lines = [
            NetLine(category, sheet.money(net), sheet.terms.tax_keys(category))
            for category, net in self.nets.items()
            if net
        ]
        return document_totals(
            lines,
            allowances=self.document_allowances(),
            charges=self.document_charges(),
            rates=sheet.terms.rates,
            prepaid=sheet.money(sheet.prepaid),
            currency=sheet.terms.currency,
        )


@dataclass(frozen=True)
class Sheet:
    """Everything prices need of one plan. `freight` by supplier and `prepaid` in minor units."""

    terms: Terms
    items: dict[str, SheetItem]
    tasks: dict[str, SheetTask]
    steps: dict[str, SheetStep]
    pieces: dict[str, SheetPiece]
    discounts: dict[str, DiscountIn]
    document: DiscountIn | None
    freight: dict[str, int]
    prepaid: int
    _known: dict[int, int] = field(default_factory=dict, compare=False, repr=False)
    _supplies: dict[int, tuple[tuple[str, str, int], ...]] = field(
        default_factory=dict, compare=False, repr=False
    )

    @cached_property
    def scale(self) -> int:
        return int(10 ** minor_units(self.terms.currency))

    @cached_property
    def places(self) -> int:
        return minor_units(self.terms.currency)

    def money(self, units: int) -> Decimal:
        """Minor units as an amount, with all its decimals."""
        return Decimal(units).scaleb(-self.places) if units else round_money(ZERO, self.terms.currency)

    def units(self, amount: Decimal) -> int:
        """A payable amount in minor units."""
        return int(amount.scaleb(self.places))

    def firm(self) -> list[str]:
        return [key for key, item in self.items.items() if item.group == "firm"]

    def arising(self, chosen: Collection[str]) -> list[str]:
        """The contingent items, not chosen, that may arise while those chosen are done."""
        there, found = set(chosen), []
        waiting = [i for i in self.items.values() if i.group == "contingent" and i.key not in there]
        while ready := [item for item in waiting if not item.parents or there & set(item.parents)]:
            found += [item.key for item in ready]
            there |= {item.key for item in ready}
            waiting = [item for item in waiting if item not in ready]
        return found

    def price(self, chosen: Iterable[str]) -> Chosen:
        """What these items (keys) come to together. Refused for a key that is not on the sheet."""
        keys = set(chosen)
        if unknown := sorted(keys - self.items.keys()):
            known = ", ".join(self.items) or "there is none"
            raise Refused(Fault(f"item {key}", "is not in this estimate", f"use {known}") for key in unknown)
        items = [item for key, item in self.items.items() if key in keys]
        wanted, minutes = self.together(items)
        parts, deposits, senders = self._bought(wanted)
        nets: dict[Category, int] = dict.fromkeys(CATEGORIES, 0)
        labour = self.labour(minutes)
        nets["labour"], nets["parts"], nets["deposit"] = labour, parts, deposits
        for item in items:
            if item.hand is not None:
                nets[item.hand[0]] += item.hand[1]
        if self.discounts.keys() & keys:
            for _, off in self.item_discounts(items, labour):
                for category, amount in off.items():
                    nets[category] -= amount
        allowances = self._allowances(nets)
        charges = self._charges(labour, any(nets.values()), senders)
        total = self._with_tax(nets, allowances, charges)
        return Chosen(
            self,
            tuple(i.key for i in items),
            minutes,
            labour,
            nets,
            allowances,
            charges,
            total,
            frozenset(senders),
        )

    # Work and parts

    def together(self, items: Iterable[SheetItem]) -> tuple[dict[str, int], int]:
        """Pieces by need, and minutes; a task in two items counts once."""
        tasks: dict[str, SheetTask] = {}
        opened: set[str] = set()
        wanted: dict[str, int] = {}
        minutes = 0
        for item in items:
            for key in item.tasks:
                if key not in tasks:
                    task = tasks[key] = self.tasks[key]
                    minutes += task.minutes
                    opened |= task.steps
                    _use(task.needs, wanted)
            _use(item.extras, wanted)
        for key in opened:
            step = self.steps[key]
            minutes += step.minutes
            _use(step.needs, wanted)
        return wanted, minutes

    def _bought(self, wanted: Mapping[str, int]) -> tuple[int, int, set[str]]:
        parts = deposits = 0
        senders: set[str] = set()
        for key, quantity in wanted.items():
            piece = self.pieces[key]
            parts += piece.price * quantity
            deposits += piece.deposit * quantity
            if self.freight:
                senders |= piece.senders
        return parts, deposits, senders

    def labour(self, minutes: int) -> int:
        """Labour of so many minutes; worked out once each."""
        known = self._known.get(minutes)
        if known is None:
            known = self._known[minutes] = self.units(self.terms.labour_price(minutes)[1])
        return known

    def labour_shares(self, items: Iterable[SheetItem], total: int) -> dict[str, int]:
        """`total` (minutes or minor units) shared among the items that have work, by their exact minutes.

        Each step is split equally among the tasks that need it, and the whole by largest remainder.
        """
        counted: dict[str, list[str]] = {}
        seen: set[str] = set()
        users: dict[str, int] = {}
        for item in items:
            if item.tasks:
                own = counted[item.key] = [key for key in item.tasks if key not in seen]
                seen.update(own)
                for key in own:
                    for step in self.tasks[key].steps:
                        users[step] = users.get(step, 0) + 1
        times = lcm(*users.values())
        part = {step: self.steps[step].minutes * (times // count) for step, count in users.items()}
        weights = {
            key: sum(
                self.tasks[task].minutes * times + sum(part[step] for step in self.tasks[task].steps)
                for task in own
            )
            for key, own in counted.items()
        }
        if not total or not any(weights.values()):
            return dict.fromkeys(weights, 0)
        return dict(zip(weights, largest_remainder(total, list(weights.values())), strict=True))

    # Discounts, charges, taxes

    def item_discounts(
        self, items: Collection[SheetItem], labour: int
    ) -> list[tuple[SheetItem, dict[Category, int]]]:
        """What comes off each item that has a discount, by category."""
        shares = self.labour_shares(items, labour)
        owned = self._owned(items)
        found = []
        for item in items:
            discount = self.discounts.get(item.key)
            if discount is None:
                continue
            bases: dict[Category, int] = {"labour": shares.get(item.key, 0)}
            bases["parts"] = owned.get(item.key, 0)
            if item.hand is not None:
                bases[item.hand[0]] = bases.get(item.hand[0], 0) + item.hand[1]
            found.append((item, split_off(discount, bases, self.scale)))
        return found

    def _owned(self, items: Iterable[SheetItem]) -> dict[str, int]:
        """The price of the parts shown with each item: with the first that asks for them."""
        owners: dict[str, str] = {}
        most: dict[str, int] = {}
        seen: set[str] = set()
        opened: set[str] = set()

        def use(needs: Wanted, owner: str) -> None:
            for key, quantity in needs:
                most[key] = max(most.get(key, 0), quantity)
                owners.setdefault(key, owner)

        for item in items:
            for task in item.tasks:
                if task not in seen:
                    seen.add(task)
                    opened |= self.tasks[task].steps
                    use(self.tasks[task].needs, item.key)
            use(item.extras, item.key)
        for step in opened:
            use(self.steps[step].needs, ACCESS)
        sums: dict[str, int] = {}
        for key, owner in owners.items():
            sums[owner] = sums.get(owner, 0) + self.pieces[key].price * most[key]
        return sums

    def _allowances(self, nets: Mapping[Category, int]) -> tuple[tuple[tuple[Category, ...], int, int], ...]:
        """The discount on the document as (categories of one set of taxes, their base, what comes off).

        Deposits, supplies, fees and freight are charged in full.
        """
        if self.document is None:
            return ()
        alike: dict[tuple[str, ...], list[Category]] = {}
        for category in CATEGORIES:
            if category != "deposit" and nets[category]:
                alike.setdefault(self.terms.tax_keys(category), []).append(category)
        bases = [sum(nets[category] for category in group) for group in alike.values()]
        amount = self.document.off(sum(bases), self.scale)
        if not amount:
            return ()
        shares = largest_remainder(amount, bases)
        return tuple(
            (tuple(group), base, share)
            for group, base, share in zip(alike.values(), bases, shares, strict=True)
        )

    def _charges(
        self, labour: int, anything: bool, senders: Collection[str]
    ) -> tuple[tuple[str, str, int], ...]:
        supplies = self._supplies.get(labour)
        if supplies is None:
            supplies = self._supplies[labour] = self._shop_supplies(self.money(labour))
        charges = supplies
        if anything:
            charges += self._fees
        if senders and (freight := sum(self.freight.get(sender, 0) for sender in senders)):
            charges += (("freight", "Freight on parts", freight),)
        return charges

    def _shop_supplies(self, labour: Decimal) -> tuple[tuple[str, str, int], ...]:
        terms = self.terms
        amount = self.units(terms.supplies(labour))
        if not amount:
            return ()
        capped = ", capped" if terms.supplies_capped(labour) else ""
        reason = f"Shop supplies, {terms.supplies_percent.normalize():f} % of labour{capped}"
        return (("supplies", reason, amount),)

    @cached_property
    def _fees(self) -> tuple[tuple[str, str, int], ...]:
        fees = (
            (code, name, self.units(round_money(fee, self.terms.currency)))
            for code, name, fee in self.terms.fees
        )
        return tuple(fee for fee in fees if fee[2])

    @cached_property
    def _taxed(self) -> tuple[tuple[tuple[Category, ...], int, int], ...]:
        """What each tax is taken on, and its percentage as a fraction of whole numbers."""
        return tuple(
            (
                tuple(name for name in CATEGORIES if key in self.terms.tax_keys(name)),
                *rate.percent.as_integer_ratio(),
            )
            for key, rate in self.terms.rates.items()
        )

    def _with_tax(
        self,
        nets: Mapping[Category, int],
        allowances: Iterable[tuple[tuple[Category, ...], int, int]],
        charges: Iterable[tuple[str, str, int]],
    ) -> int:
        sums = dict(nets)
        sums["fees"] += sum(amount for _, _, amount in charges)
        for categories, _, amount in allowances:
            sums[categories[0]] -= amount  # all of them carry the same taxes
        total = sum(sums.values())
        for names, up, down in self._taxed:
            total += divide_half_up(sum([sums[name] for name in names]) * up, down * 100)
        return total


def price_choice(
    plan: Plan,
    chosen: Iterable[str],
    supplies: Mapping[NeedKey, Supply],
    terms: Terms,
    adjustments: Adjustments = NONE,
) -> Chosen:
    """What an estimate built from the items `chosen` (keys) of this plan comes to.

    For several choices of one plan make the sheet once and ask it.
    """
    return sheet_of(plan, supplies, terms, adjustments).price(chosen)


def sheet_of(
    plan: Plan, supplies: Mapping[NeedKey, Supply], terms: Terms, adjustments: Adjustments = NONE
) -> Sheet:
    """The sheet of a plan. `supplies` answers every need of every item. Refused for amounts not payable."""
    places = minor_units(terms.currency)

    def units(amount: Decimal) -> int:
        return int(round_money(amount, terms.currency).scaleb(places))

    def wanted(needs: Iterable[NeedAt]) -> Wanted:
        return tuple(("@".join(need.key), need.quantity) for need in needs)

    requires = {key: step.requires for key, step in plan.steps.items()}
    tasks = {task.key: task for item in plan.items for task in item.tasks}
    reached = {key: closure(task.steps, requires) for key, task in tasks.items()}
    used = frozenset().union(*reached.values())
    steps = {key: plan.steps[key] for key in plan.steps if key in used}
    asked = {
        need.key
        for needs in (
            *(task.needs for task in tasks.values()),
            *(step.needs for step in steps.values()),
            *(item.extras for item in plan.items),
        )
        for need in needs
    }
    return Sheet(
        terms=terms,
        items={item.key: _sheet_item(item, wanted(item.extras), terms, units) for item in plan.items},
        tasks={
            key: SheetTask(task.minutes, frozenset(reached[key]), wanted(task.needs))
            for key, task in tasks.items()
        },
        steps={key: SheetStep(step.minutes, wanted(step.needs)) for key, step in steps.items()},
        pieces={"@".join(key): _sheet_piece(supplies[key], units) for key in sorted(asked)},
        discounts=adjustments.by_item,
        document=adjustments.document,
        freight={code: units(amount) for code, amount in adjustments.freight.items()},
        prepaid=units(adjustments.prepaid),
    )


def undiscounted(sheet: Sheet) -> Sheet:
    """The same sheet without what holds for this visit only: discounts and payments."""
    return replace(sheet, discounts={}, document=None, prepaid=0)


def _sheet_item(item: Item, extras: Wanted, terms: Terms, units: Callable[[Decimal], int]) -> SheetItem:
    hand = None
    if item.hand is not None:
        net = line_net(item.hand.quantity, item.hand.unit_price, currency=terms.currency)
        hand = (item.hand.category, units(net))
    return SheetItem(
        item.key, item.group, item.parents, tuple(dict.fromkeys(t.key for t in item.tasks)), extras, hand
    )


def _sheet_piece(supply: Supply, units: Callable[[Decimal], int]) -> SheetPiece:
    return SheetPiece(
        price=sum(units(piece.price) * piece.per for piece in supply.pieces),
        deposit=sum(units(piece.deposit) * piece.per for piece in supply.pieces),
        senders=frozenset(piece.offer.supplier for piece in supply.pieces if piece.offer is not None),
    )


def tax_units(taxable: int, rate: TaxRate) -> int:
    """The tax on a sum in minor units: shop.rules.tax.tax_on in whole units."""
    up, down = rate.percent.as_integer_ratio()
    return divide_half_up(taxable * up, down * 100)


def _use(needs: Wanted, wanted: dict[str, int]) -> None:
    for key, quantity in needs:
        if wanted.get(key, 0) < quantity:
            wanted[key] = quantity
