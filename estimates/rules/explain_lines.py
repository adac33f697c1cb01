"""How the lines of an estimate came about: labour from minutes and shares, parts from offers and markup.

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
>>> labour = labour_figure(priced, plan)
>>> [(node.label, str(node.value)) for node in labour.walk()][1:3]
[('billed hours', '0.5'), ('minutes', '30')]
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from estimates.rules.explained import Node, given, see, summed
from estimates.rules.lines import Line
from estimates.rules.plan import Plan, places_in_words
from estimates.rules.pricing import Priced, PricedItem
from estimates.rules.supply import Piece
from estimates.rules.terms import Terms
from shop.rules.markup import markup_slices

ZERO = Decimal(0)


def labour_figure(priced: Priced, plan: Plan) -> Node:
    """Labour of the firm work: minutes item by item, billed once on the total."""
    sheet, terms = priced.sheet, priced.sheet.terms
    steps = step_nodes(plan)
    tasks = {task.key: task for item in plan.items for task in item.tasks}
    firm = [sheet.items[key] for key in priced.chosen.keys]
    seen: dict[str, str] = {}
    for item in firm:
        for task in item.tasks:
            seen.setdefault(task, item.key)
    users: dict[str, int] = {}
    for task in seen:
        for step in sheet.tasks[task].steps:
            users[step] = users.get(step, 0) + 1
    shown: set[str] = set()
    items = []
    for item in firm:
        if not item.tasks:
            continue
        key = f"labour/minutes/{item.key}"
        parts = []
        for task in item.tasks:
            if seen[task] != item.key:
                continue  # counts with the item that has it first
            name = _named(tasks[task].name, places_in_words((tasks[task].place,)))
            parts.append(given(f"{key}/{task}", name, tasks[task].minutes, "minutes", "service data"))
            for step in sorted(sheet.tasks[task].steps):
                where = f"{key}/{task}/{step}"
                node = steps[step] if step not in shown else see(steps[step], f"{where}/whole")
                shown.add(step)
                if users[step] == 1:
                    parts.append(node)
                    continue
                count = given(f"{where}/tasks", "tasks that need it", users[step], "pieces")
                share = Fraction(sheet.steps[step].minutes, users[step])
                label = f"a share of {node.label}"
                parts.append(Node(where, label, share, "minutes", "division", (node, count)))
        items.append(summed(key, f"minutes of {item.key}", parts, "minutes"))
    minutes = summed("labour/minutes", "minutes", items, "minutes", "teardown that is shared counts once")
    increment = given(
        "labour/increment", "billed in steps of", terms.increment.normalize(), "hours", "of the shop"
    )
    hours = Node("labour/hours", "billed hours", priced.labour.hours, "hours", "billed", (minutes, increment))
    rate = given("labour/rate", "labour rate an hour", terms.labour_rate, "money", "of the shop")
    return Node("labour", "Labour of the firm work", priced.labour.amount, "money", "product", (hours, rate))


def step_nodes(plan: Plan) -> dict[str, Node]:
    """The minutes of each access step, with what a person multiplied on this job."""
    found = {}
    slow = {f"{one.step}@{one.place.code}": one for one in plan.slow}
    for key, step in plan.steps.items():
        label = _named(step.name, places_in_words((step.place,)))
        factor = slow.get(key)
        if factor is None or factor.minutes != step.minutes:
            found[key] = given(f"step/{key}", label, step.minutes, "minutes", "service data")
            continue
        usual = given(f"step/{key}/usual", "usually", factor.usual, "minutes", "service data")
        times = given(f"step/{key}/factor", "times", factor.by, "factor", factor.reason)
        found[key] = Node(f"step/{key}", label, step.minutes, "minutes", "product", (usual, times))
    return found


def line_node(line: Line, one: PricedItem, priced: Priced, known: Mapping[str, Node]) -> Node:
    """One line: its net, less its share of the item's discount."""
    key = f"line/{line.key}"
    whole_key = f"{key}/before" if line.allowance else key
    if line.kind == "labour":
        whole = _labour_line(whole_key, line, one, priced, known)
    elif line.kind == "part" or line.kind == "consumable":
        assert line.piece is not None
        pieces = given(f"{whole_key}/pieces", "pieces", line.quantity, "pieces", line.to_confirm)
        price = price_node(f"{whole_key}/price", line.piece, priced.sheet.terms)
        whole = Node(whole_key, line.text, line.gross, "money", "product", (pieces, price), line.note)
    else:
        pieces = given(f"{whole_key}/pieces", "pieces", line.quantity, "pieces")
        note = "asked by the supplier" if line.kind == "deposit" else "written by hand"
        each = given(f"{whole_key}/price", "of one", line.unit_price, "money", note)
        whole = Node(whole_key, line.text, line.gross, "money", "product", (pieces, each))
    if not line.allowance:
        return whole
    return Node(key, line.text, line.net, "money", "difference", (whole, _allowance(key, line, one, priced)))


def _labour_line(key: str, line: Line, one: PricedItem, priced: Priced, known: Mapping[str, Node]) -> Node:
    if one.item.group == "firm":
        own = known.get(f"labour/minutes/{one.item.key}")
        every, amount = known["labour/minutes"], known["labour"]
        assert own is not None
        parts = (see(amount, f"{key}/labour"), see(own, f"{key}/own"), see(every, f"{key}/all"))
        return Node(key, "Labour", line.gross, "money", "share", parts)
    with_it = priced.sheet.price([*priced.chosen.keys, one.item.key])
    hours, price = priced.sheet.terms.labour_price(with_it.minutes)
    more = (
        see(known["labour/minutes"], f"{key}/now"),
        given(f"{key}/more", "minutes it adds", one.minutes, "minutes", "what is not open or done anyway"),
    )
    minutes = summed(f"{key}/minutes", "minutes with it", more, "minutes")
    billed = Node(
        f"{key}/hours", "billed hours with it", hours, "hours", "billed",
        (minutes, see(known["labour/increment"], f"{key}/increment")),
    )  # fmt: skip
    rate = see(known["labour/rate"], f"{key}/rate")
    whole = Node(f"{key}/with-it", "labour with it", price, "money", "product", (billed, rate))
    return Node(
        key, "Labour", line.gross, "money", "difference", (whole, see(known["labour"], f"{key}/labour"))
    )


def price_node(key: str, piece: Piece, terms: Terms) -> Node:
    """The sell price of one piece: its cost, what each band of the markup adds, the list price as a cap."""
    listed = piece.part.list_price if piece.part.list_currency == terms.currency else None
    offer = piece.offer
    note = (
        f"{offer.supplier_name}, price of {offer.valid_from}"
        if offer
        else "list price: nobody offers it today"
    )
    cost = given(f"{key}/cost", f"cost of {piece.part.label}", piece.cost, "money", note)
    adds = []
    for number, (amount, percent) in enumerate(markup_slices(piece.cost, terms.bands, terms.markup_mode), 1):
        where = f"{key}/markup-{number}"
        parts = (
            given(f"{where}/of", "of this much of the cost", amount, "money", "band of the shop's markup"),
            given(f"{where}/percent", "markup", percent, "percent", "of the shop"),
        )
        adds.append(Node(where, "markup", amount * percent / 100, "money", "percentage", parts))
    exact = Fraction(piece.cost) + sum((Fraction(add.value) for add in adds), Fraction(0))
    uncapped = terms.sell(piece.cost, None).amount
    marked = (cost, *adds)
    if listed is None or uncapped <= listed:
        return Node(key, "sell price of one", piece.price, "money", "sum", marked, f"exactly {_text(exact)}")
    full = Node(f"{key}/uncapped", "with markup", uncapped, "money", "sum", marked)
    cap = given(f"{key}/list", "list price", listed, "money", "it never sells above it")
    held = Node(f"{key}/held", "held at the list price", listed, "money", "least", (full, cap))
    if piece.price == listed:
        return Node(key, "sell price of one", piece.price, "money", "least", (full, cap))
    return Node(
        key, "sell price of one", piece.price, "money", "most", (held, see(cost, f"{key}/lowest")),
        "never below cost",
    )  # fmt: skip


def _allowance(key: str, line: Line, one: PricedItem, priced: Priced) -> Node:
    """The line's share of the discount on its item: first among categories, then among their lines."""
    discount = one.discount
    assert discount is not None
    lines = [other for other in one.lines if other.kind != "deposit"]
    alike = [other for other in lines if other.category == line.category]
    base = sum((other.gross for other in lines), ZERO)
    category_base = sum((other.gross for other in alike), ZERO)
    off = sum((other.allowance for other in lines), ZERO)
    category_off = sum((other.allowance for other in alike), ZERO)
    name = f"{key}/discount"
    all_lines = given(f"{name}/base", "lines of the item without deposits", base, "money")
    if discount.percent is not None:
        rate = given(f"{name}/percent", discount.reason, discount.percent, "percent")
        whole = Node(f"{name}/whole", discount.reason, off, "money", "percentage", (all_lines, rate))
    else:
        assert discount.amount is not None
        stated = given(f"{name}/amount", discount.reason, discount.amount, "money")
        whole = Node(f"{name}/whole", discount.reason, off, "money", "least", (stated, all_lines))
    of_category = Node(
        f"{name}/{line.category}", f"share of {line.category}", category_off, "money", "share",
        (
            whole,
            given(f"{name}/{line.category}/base", line.category, category_base, "money"),
            see(all_lines, f"{name}/all"),
        ),
    )  # fmt: skip
    return Node(
        name, discount.reason, line.allowance, "money", "share",
        (
            of_category,
            given(f"{name}/line", "this line", line.gross, "money"),
            given(f"{name}/lines", f"lines of {line.category}", category_base, "money"),
        ),
    )  # fmt: skip


def _named(name: str, where: str) -> str:
    return f"{name}, {where}" if where else name


def _text(exact: Fraction) -> str:
    """Exactly, where decimals can say it; as a fraction else."""
    for places in range(9):
        if (exact * 10**places).denominator == 1:
            return f"{Decimal(int(exact * 10**places)).scaleb(-places):f}"
    return str(exact)
