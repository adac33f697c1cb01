"""From line amounts to what is due, after the European invoice standard EN 16931-1.

Add the lines; take off what is allowed on the whole, add what is charged on the whole: that is the total
without tax. Each tax is taken once on the sum of all it applies to. Add the taxes: the total with tax.
Take off what was paid before: what is due. A line may carry several taxes at once, or none. Every figure
is in whole minor units, so anyone can check the sums with a pencil.

>>> from decimal import Decimal
>>> from shop.rules.tax import TaxRate
>>> rates = {"vat": TaxRate("vat", "VAT 25 %", Decimal(25), "S")}
>>> lines = [NetLine("1", Decimal("400.00"), ("vat",)), NetLine("2", Decimal("400.00"), ("vat",))]
>>> freight = Adjustment("freight", "Freight", Decimal("100.00"), ("vat",))
>>> totals = document_totals(lines, charges=[freight], rates=rates, currency="DKK")
>>> totals.without_tax, totals.tax_sum, totals.with_tax
(Decimal('900.00'), Decimal('225.00'), Decimal('1125.00'))

Totals that do not add up cannot exist:

>>> from dataclasses import replace
>>> replace(totals, due=Decimal("1125.01"))
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: due: is 1125.01 DKK but its parts make 1125.00 DKK; use the sum of the parts
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from shop.rules.currency import exact_money
from shop.rules.errors import Fault, Refused
from shop.rules.lines import Adjustment, NetLine, line_net
from shop.rules.tax import TaxAmount, TaxRate, tax_on

__all__ = ["Adjustment", "NetLine", "TaxAmount", "Totals", "document_totals", "line_net"]


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums of a document, all in `currency`. Refused if they do not add up (BR-CO-13 to BR-CO-17).

    line_sum (BT-106) - allowance_sum (BT-107) + charge_sum (BT-108) = without_tax (BT-109);
    the amounts in `tax` (BT-117) make tax_sum (BT-110); without_tax + tax_sum = with_tax (BT-112);
    with_tax - prepaid (BT-113) = due (BT-115), which is negative when too much was paid.
    """

    line_sum: Decimal
    allowance_sum: Decimal
    charge_sum: Decimal
    without_tax: Decimal
    tax: tuple[TaxAmount, ...]
    tax_sum: Decimal
    with_tax: Decimal
    prepaid: Decimal
    due: Decimal
    currency: str

    def __post_init__(self) -> None:
        faults: list[Fault] = []

        def agree(where: str, stated: Decimal, parts: Decimal) -> None:
            if exact_money(stated, self.currency, where) != parts:
                what = f"is {stated} {self.currency} but its parts make {parts} {self.currency}"
                faults.append(Fault(where, what, "use the sum of the parts"))

        for where in ("line_sum", "allowance_sum", "charge_sum", "prepaid"):
            exact_money(getattr(self, where), self.currency, where)
        agree("without_tax", self.without_tax, self.line_sum - self.allowance_sum + self.charge_sum)
        for part in self.tax:
            exact_money(part.taxable, self.currency, f"taxable {part.rate.key}")
            exact = tax_on(part.taxable, part.rate, self.currency).amount
            agree(f"tax {part.rate.key}", part.amount, exact)
        agree("tax_sum", self.tax_sum, _sum(part.amount for part in self.tax))
        agree("with_tax", self.with_tax, self.without_tax + self.tax_sum)
        agree("due", self.due, self.with_tax - self.prepaid)
        if faults:
            raise Refused(faults)


def document_totals(
    lines: Iterable[NetLine],
    *,
    allowances: Iterable[Adjustment] = (),
    charges: Iterable[Adjustment] = (),
    rates: Mapping[str, TaxRate],
    prepaid: Decimal = Decimal(0),
    currency: str,
) -> Totals:
    """Add up a document. `rates` maps the tax keys used on lines, allowances and charges to their rates.

    Taxes come out in the order of `rates`, those that apply to nothing left out. One key is one tax: two
    keys of the same percentage are two taxes, rounded apart. Refused, with every fault found: an amount
    finer than the currency's minor unit, a key without a rate or named twice, a negative adjustment or
    prepayment.
    """
    lines, allowances, charges = tuple(lines), tuple(allowances), tuple(charges)
    paid = exact_money(prepaid, currency, "prepaid")
    faults = [
        fault
        for kind, items in (("line", lines), ("allowance", allowances), ("charge", charges))
        for item in items
        for fault in item.faults(kind, rates, currency)
    ]
    if paid < 0:
        faults.append(Fault("prepaid", f"{paid} is negative", "give what was paid, or zero"))
    if faults:
        raise Refused(faults)

    def money(amount: Decimal) -> Decimal:
        return exact_money(amount, currency, "sum")

    def taxable(key: str) -> Decimal:
        """What one tax is taken on: BR-S-08 and its like for the other categories."""
        return money(
            _sum(line.net for line in lines if key in line.tax_keys)
            - _sum(allowance.amount for allowance in allowances if key in allowance.tax_keys)
            + _sum(charge.amount for charge in charges if key in charge.tax_keys)
        )

    items: tuple[NetLine | Adjustment, ...] = (*lines, *allowances, *charges)
    used = {key for item in items for key in item.tax_keys}
    tax = tuple(tax_on(taxable(key), rate, currency) for key, rate in rates.items() if key in used)
    line_sum = money(_sum(line.net for line in lines))
    allowance_sum = money(_sum(allowance.amount for allowance in allowances))
    charge_sum = money(_sum(charge.amount for charge in charges))
    without_tax = money(line_sum - allowance_sum + charge_sum)
    tax_sum = money(_sum(part.amount for part in tax))
    with_tax = money(without_tax + tax_sum)
    return Totals(
        line_sum=line_sum,
        allowance_sum=allowance_sum,
        charge_sum=charge_sum,
        without_tax=without_tax,
        tax=tax,
        tax_sum=tax_sum,
        with_tax=with_tax,
        prepaid=paid,
        due=money(with_tax - paid),
        currency=currency,
    )


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, Decimal(0))
