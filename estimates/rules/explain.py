"""How every figure of an estimate came about, as a tree for the shop's own people: it shows costs.

The values are those of the priced estimate, not worked out again; a test does every sum once more.

Figures, in this order: labour; each item with its lines, from the offer's price over the markup to the net;
shop supplies, fees, freight; discounts; the firm total with its taxes, and what is due; what each other item
adds; the total not to be passed without asking again, and the one with everything.

>>> from catalog.cards import PositionCard
>>> from estimates.rules.plan import Item, Task
>>> from estimates.rules.pricing import price
>>> from estimates.rules.terms import Terms
>>> from shop.rules.tax import TaxRate
>>> engine = PositionCard("engine", "engine", None)
>>> task = Task("belt", "belt", "change the belt", engine, 30, frozenset(), (), ())
>>> plan = Plan((Item("belt", "firm", "belt", (), (task,)),), {}, (), ())
>>> terms = Terms("EUR", Decimal("60.00"), Decimal("0.1"), (), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",)})
>>> priced = price(plan, {}, terms)
>>> for figure in explain(priced, plan, {})[:3]:
...     print(figure.key, figure.value, figure.how, [part.key for part in figure.parts])
labour 30.00 product ['labour/hours', 'labour/rate']
item/belt 30.00 sum ['line/belt/labour']
firm 36.00 sum ['firm/together', 'firm/tax/vat']
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from estimates.rules.explain_choice import choice_node, total_of
from estimates.rules.explain_lines import labour_figure, line_node
from estimates.rules.explained import Node, given, see, summed
from estimates.rules.plan import Plan
from estimates.rules.pricing import Priced
from estimates.rules.supply import Supply
from estimates.rules.workload import NeedKey
from shop.rules.totals import Adjustment


def explain(priced: Priced, plan: Plan, supplies: Mapping[NeedKey, Supply]) -> tuple[Node, ...]:
    """The figures of an estimate, each unfolding to what it rests on."""
    labour = labour_figure(priced, plan)
    known = {node.key: node for node in labour.walk()}
    items = []
    for one in priced.items:
        lines = [line_node(line, one, priced, known) for line in one.lines]
        items.append(summed(f"item/{one.item.key}", one.item.title, lines, note="without tax"))
    charges = charge_nodes(priced, labour, supplies)
    discount = discount_figure(priced, items)
    firm_items = items[: len(priced.group("firm"))]
    firm = firm_figure(priced, firm_items, charges, discount)
    figures = [labour, *items, *charges, *([discount] if discount else []), firm]
    if priced.adjustments.payments:
        figures.append(due_figure(priced, firm))
    by_category = choice_node("firm-by-category", "Firm total by category", priced.chosen, plan)
    figures.append(by_category)
    firm_keys = list(priced.chosen.keys)
    for one in priced.items:
        if one.adds is not None:
            key = f"adds/{one.item.key}"
            with_it = choice_node(
                f"{key}/with-it", "firm total with it", priced.sheet.price([*firm_keys, one.item.key]), plan,
                base=by_category,
            )  # fmt: skip
            parts = (with_it, see(firm, f"{key}/firm"))
            figures.append(
                Node(key, f"{one.item.title}: adds to the firm total", one.adds, "money", "difference", parts)
            )
    arising = [*firm_keys, *priced.sheet.arising(firm_keys)]
    for key, label, chosen in (
        ("ceiling", "Not above this without asking again", arising),
        ("options", "With every option too", list(priced.sheet.items)),
    ):
        figures.append(choice_node(key, label, priced.sheet.price(chosen), plan, base=by_category))
    return tuple(figures)


def charge_nodes(priced: Priced, labour: Node, supplies: Mapping[NeedKey, Supply]) -> list[Node]:
    """Shop supplies, fees, freight."""
    sheet = priced.sheet
    found: list[Node] = []
    for charge in priced.charges:
        key = f"charge/{charge.key}"
        if charge.key == "supplies" and charge is priced.charges[0]:
            found.append(_supplies_node(key, charge, priced, labour))
        elif charge.key == "freight" and charge is priced.charges[-1] and sheet.freight:
            senders = sorted(priced.chosen.senders & sheet.freight.keys())
            names = {
                piece.offer.supplier: piece.offer.supplier_name
                for supply in supplies.values()
                for piece in supply.pieces
                if piece.offer is not None
            }
            parts = [
                given(
                    f"{key}/{code}", names.get(code, code), sheet.money(sheet.freight[code]), "money", "asks"
                )
                for code in senders
            ]
            found.append(summed(key, charge.reason, parts))
        else:
            found.append(
                given(key, charge.reason, charge.amount, "money", "a fee of the shop on every estimate")
            )
    return found


def _supplies_node(key: str, charge: Adjustment, priced: Priced, labour: Node) -> Node:
    terms = priced.sheet.terms
    percent = given(
        f"{key}/percent", "shop supplies", terms.supplies_percent.normalize(), "percent", "of labour"
    )
    parts = (see(labour, f"{key}/labour"), percent)
    if not terms.supplies_capped(priced.labour.amount):
        return Node(key, charge.reason, charge.amount, "money", "percentage", parts)
    assert terms.supplies_cap is not None
    full = Node(
        f"{key}/uncapped", "before the cap", terms.uncapped_supplies(priced.labour.amount), "money",
        "percentage", parts,
    )  # fmt: skip
    cap = given(f"{key}/cap", "cap of the shop", charge.amount, "money")
    return Node(key, charge.reason, charge.amount, "money", "least", (full, cap))


def discount_figure(priced: Priced, items: list[Node]) -> Node | None:
    """The discount on the document, shared among the sets of taxes."""
    discount, sheet = priced.sheet.document, priced.sheet
    if discount is None or not priced.allowances:
        return None
    sets = [(names, base, amount) for names, base, amount in priced.chosen.allowances if amount]
    whole = sum(base for _, base, _ in priced.chosen.allowances)
    base = given("discount/base", "lines of the firm work without deposits", sheet.money(whole), "money")
    amount = sheet.money(sum(amount for _, _, amount in sets))
    if discount.percent is not None:
        rate = given("discount/percent", discount.reason, discount.percent, "percent")
        total = Node("discount/whole", discount.reason, amount, "money", "percentage", (base, rate))
    else:
        assert discount.amount is not None
        stated = given("discount/amount", discount.reason, discount.amount, "money")
        total = Node("discount/whole", discount.reason, amount, "money", "least", (stated, base))
    parts: list[Node] = []
    for allowance, (names, taken_from, off) in zip(priced.allowances, sets, strict=True):
        key = f"discount/{allowance.key}"
        first = total if not parts else see(total, f"{key}/whole")
        basis = given(f"{key}/base", " and ".join(names), sheet.money(taken_from), "money")
        every = see(base, f"{key}/all")
        parts.append(
            Node(key, f"off {' and '.join(names)}", sheet.money(off), "money", "share", (first, basis, every))
        )
    return summed("discount", f"Discount: {discount.reason}", parts)


def firm_figure(priced: Priced, items: list[Node], charges: list[Node], discount: Node | None) -> Node:
    """The firm total: lines, charges, discount, then every tax on the sum it is taken on."""
    totals = priced.firm
    lines = summed("firm/lines", "lines", [see(item, f"firm/lines/{item.key}") for item in items])
    before = [lines, *(see(charge, f"firm/{charge.key}") for charge in charges)]
    together = summed("firm/together", "lines and charges", before)
    without = together
    if discount is not None:
        parts = (together, see(discount, "firm/discount"))
        without = Node(
            "firm/without-tax", "total without tax", totals.without_tax, "money", "difference", parts
        )
    taxes = []
    for tax in totals.tax:
        key = f"firm/tax/{tax.rate.key}"
        taxed = [
            see(line, f"{key}/{line.key}")
            for one, item in zip(priced.group("firm"), items, strict=True)
            for printed, line in zip(one.lines, item.parts, strict=True)
            if tax.rate.key in priced.sheet.terms.tax_keys(printed.category)
        ]
        if tax.rate.key in priced.sheet.terms.tax_keys("fees"):
            taxed += [see(charge, f"{key}/{charge.key}") for charge in charges]
        basis = summed(f"{key}/lines", "lines and charges with this tax", taxed)
        off = [
            see(part, f"{key}/{part.key}")
            for part, allowance in zip(discount.parts if discount else (), priced.allowances, strict=True)
            if tax.rate.key in allowance.tax_keys
        ]
        if off:
            basis = Node(
                f"{key}/taxable", "what it is taken on", tax.taxable, "money", "difference", (basis, *off)
            )
        taxes.append(total_of(key, tax, basis))
    return Node("firm", "Firm total with tax", totals.with_tax, "money", "sum", (without, *taxes))


def due_figure(priced: Priced, firm: Node) -> Node:
    payments = [
        given(f"due/{number}", f"{paid.how}, {paid.received_on}", _money(paid.amount, priced), "money")
        for number, paid in enumerate(priced.adjustments.payments, 1)
    ]
    paid = summed("due/paid", "paid in advance", payments)
    parts = (see(firm, "due/firm"), paid)
    return Node("due", "Due of the firm total", priced.firm.due, "money", "difference", parts)


def _money(amount: Decimal, priced: Priced) -> Decimal:
    return priced.sheet.money(priced.sheet.units(amount))
