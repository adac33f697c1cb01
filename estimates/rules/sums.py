"""Sums by category, charges and totals: what a set of work costs, quick enough to be asked for every item.

Parts, deposits and labour are summed by category, because taxes are taken on the category's sum. Shop
supplies and fees are charges on the document.

>>> from shop.rules.markup import MarkupBand
>>> from shop.rules.tax import TaxRate
>>> terms = Terms("EUR", Decimal(60), Decimal("0.1"), (MarkupBand(Decimal(0), Decimal(50)),), "stepped",
...     {"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, {"labour": ("vat",), "fees": ("vat",)},
...     fees=(("bin", "Disposal", Decimal(5)),))
>>> with_tax({"labour": Decimal("60.00"), "parts": Decimal("10.00"), "deposit": Decimal("0.00")}, terms)
Decimal('88.00')
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal

from estimates.rules.lines import Line
from estimates.rules.plan import NeedAt
from estimates.rules.supply import Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import NeedKey, Workload
from shop.rules.currency import round_money
from shop.rules.tax import tax_on
from shop.rules.totals import Adjustment, NetLine, Totals, document_totals

ZERO = Decimal(0)


def categories_of(
    load: Workload, supplies: Mapping[NeedKey, Supply], terms: Terms
) -> dict[Category, Decimal]:
    """Parts, deposits and labour of a workload, without tax and charges."""
    sums = parts_and_deposits(load.needs.values(), supplies, terms)
    sums["labour"] = terms.labour_price(load.minutes)[1]
    return sums


def parts_and_deposits(
    needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply], terms: Terms
) -> dict[Category, Decimal]:
    """What these needs cost by category."""
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
    fees = sum((charge.amount for charge in charges_on(categories, terms)), ZERO)
    sums = {**categories, "fees": fees}
    total = sum(sums.values(), ZERO)
    for key, rate in terms.rates.items():
        taxable = sum((amount for name, amount in sums.items() if key in terms.tax_keys(name)), ZERO)
        total += tax_on(taxable, rate, terms.currency).amount
    return total


def charges_on(categories: Mapping[Category, Decimal], terms: Terms) -> tuple[Adjustment, ...]:
    """Shop supplies on the labour, and the fees; where nothing is done nothing is charged."""
    labour = categories["labour"]
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
        if amount and any(categories.values())
    ]
    return tuple(charges)


def totals_of_lines(lines: Iterable[Line], categories: Mapping[Category, Decimal], terms: Terms) -> Totals:
    """Totals of the lines as they are printed; `categories` are the same sums by category."""
    nets = [NetLine(line.key, line.net, terms.tax_keys(line.category)) for line in lines]
    return document_totals(
        nets, charges=charges_on(categories, terms), rates=terms.rates, currency=terms.currency
    )


def totals_of_work(load: Workload, supplies: Mapping[NeedKey, Supply], terms: Terms) -> Totals:
    """Totals of a whole workload; one line a category, since taxes are taken on the category's sum."""
    sums = categories_of(load, supplies, terms)
    lines = [NetLine(name, amount, terms.tax_keys(name)) for name, amount in sums.items()]
    return document_totals(lines, charges=charges_on(sums, terms), rates=terms.rates, currency=terms.currency)
