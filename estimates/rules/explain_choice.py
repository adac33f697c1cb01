"""How the total of any choice of items came about: by category, since that is how taxes are taken.

>>> from catalog.cards import PositionCard
>>> from estimates.rules.plan import Item, Task
>>> from estimates.rules.pricing import price
>>> from estimates.rules.terms import Terms
>>> from shop.rules.tax import TaxRate
>>> from decimal import Decimal
>>> engine = PositionCard("engine", "engine", None)
>>> task = Task("belt", "belt", "change the belt", engine, 30, frozenset(), (), ())
>>> plan = Plan((Item("belt", "firm", "belt", (), (task,)),), {}, (), ())
>>> terms = Terms("EUR", Decimal("60.00"), Decimal("0.1"), (), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",)})
>>> priced = price(plan, {}, terms)
>>> choice_node("firm", "firm total", priced.chosen, plan).value
Decimal('36.00')
"""

from __future__ import annotations

from estimates.rules.explained import Node, given, see, summed
from estimates.rules.plan import Plan
from estimates.rules.sheet import CATEGORIES, Chosen, SheetItem
from estimates.rules.terms import Category
from shop.rules.tax import TaxAmount


def total_of(key: str, tax: TaxAmount, basis: Node) -> Node:
    """One tax on the sum it is taken on."""
    rate = given(f"{key}/percent", tax.rate.name, tax.rate.percent, "percent", "tax rate of the shop")
    return Node(key, tax.rate.name, tax.amount, "money", "percentage", (basis, rate))


def choice_node(key: str, label: str, chosen: Chosen, plan: Plan, base: Node | None = None) -> Node:
    """The total with tax of a choice. Against `base`, the tree of the firm work, what differs unfolds."""
    totals, sheet = chosen.totals, chosen.sheet
    nets = {
        category: _net_node(f"{key}/{category}", category, chosen, plan, base)
        for category in CATEGORIES
        if chosen.nets[category] or _off(chosen, category)
    }
    charges = [
        given(f"{key}/charge/{number}", reason, sheet.money(amount), "money", "as for the firm total")
        for number, (_, reason, amount) in enumerate(chosen.charges, 1)
    ]
    together = summed(f"{key}/together", "lines and charges", [*nets.values(), *charges])
    without, off = together, []
    if totals.allowance_sum:
        off = [
            given(
                f"{key}/{one.key}",
                f"discount: {one.reason}",
                one.amount,
                "money",
                "its share of the discount",
            )
            for one in chosen.document_allowances()
        ]
        without = Node(
            f"{key}/without-tax",
            "total without tax",
            totals.without_tax,
            "money",
            "difference",
            (together, *off),
        )
    taxes = []
    for tax in totals.tax:
        where, rate = f"{key}/tax/{tax.rate.key}", tax.rate.key
        taxed = [
            see(node, f"{where}/{category}")
            for category, node in nets.items()
            if rate in sheet.terms.tax_keys(category)
        ]
        if rate in sheet.terms.tax_keys("fees"):
            taxed += [see(charge, f"{where}/{charge.key}") for charge in charges]
        basis = summed(f"{where}/sums", "lines and charges with this tax", taxed)
        less = [
            see(node, f"{where}/{node.key}")
            for node, one in zip(off, chosen.document_allowances(), strict=True)
            if rate in one.tax_keys
        ]
        if less:
            basis = Node(
                f"{where}/taxable", "what it is taken on", tax.taxable, "money", "difference", (basis, *less)
            )
        taxes.append(total_of(where, tax, basis))
    return Node(key, label, totals.with_tax, "money", "sum", (without, *taxes))


def _off(chosen: Chosen, category: Category) -> int:
    return sum(off.get(category, 0) for _, off in _item_discounts(chosen))


def _item_discounts(chosen: Chosen) -> list[tuple[SheetItem, dict[Category, int]]]:
    sheet = chosen.sheet
    return sheet.item_discounts([sheet.items[key] for key in chosen.keys], chosen.labour)


def _net_node(key: str, category: Category, chosen: Chosen, plan: Plan, base: Node | None) -> Node:
    sheet = chosen.sheet
    items = [sheet.items[item] for item in chosen.keys]
    if category == "labour":
        gross = [_labour_node(f"{key}/all", chosen)]
    elif category in ("parts", "deposit"):
        gross = _pieces(key, category, chosen, plan, base)
    else:
        gross = []
    gross += [
        given(f"{key}/{item.key}", item.key, sheet.money(item.hand[1]), "money", "written by hand")
        for item in items
        if item.hand is not None and item.hand[0] == category
    ]
    off = [
        given(f"{key}/discount/{item.key}", f"discount on {item.key}", sheet.money(less[category]), "money")
        for item, less in _item_discounts(chosen)
        if less.get(category)
    ]
    if not off:
        return gross[0] if len(gross) == 1 and category == "labour" else summed(key, category, gross)
    whole = summed(f"{key}/before", f"{category} before discounts", gross)
    return Node(key, category, sheet.money(chosen.nets[category]), "money", "difference", (whole, *off))


def _labour_node(key: str, chosen: Chosen) -> Node:
    terms = chosen.sheet.terms
    hours, amount = terms.labour_price(chosen.minutes)
    minutes = given(f"{key}/minutes", "minutes", chosen.minutes, "minutes", "shared teardown counted once")
    step = given(f"{key}/increment", "billed in steps of", terms.increment.normalize(), "hours")
    billed = Node(f"{key}/hours", "billed hours", hours, "hours", "billed", (minutes, step))
    rate = given(f"{key}/rate", "labour rate an hour", terms.labour_rate, "money")
    return Node(key, "labour", amount, "money", "product", (billed, rate))


def _pieces(key: str, category: Category, chosen: Chosen, plan: Plan, base: Node | None) -> list[Node]:
    """The pieces of every need; those that the firm work has too are mentioned only."""
    sheet = chosen.sheet
    wanted, _ = sheet.together(sheet.items[item] for item in chosen.keys)
    prefix = f"{base.key}/{category}/" if base else ""
    known = {node.key: node for node in base.walk() if node.key.startswith(prefix)} if base else {}
    found = []
    for need, quantity in wanted.items():
        piece = sheet.pieces[need]
        each = piece.price if category == "parts" else piece.deposit
        if not each:
            continue
        where = f"{key}/{need}"
        before = known.get(f"{prefix}{need}")
        amount = sheet.money(each * quantity)
        if before is not None and before.value == amount:
            found.append(see(before, where))
            continue
        label = " at ".join(need.split("@", 1))
        parts = (
            given(f"{where}/pieces", "pieces", quantity, "pieces"),
            given(f"{where}/price", "of one", sheet.money(each), "money", "as on its line"),
        )
        found.append(Node(where, label, amount, "money", "product", parts))
    return found
