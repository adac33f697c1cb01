"""The amounts of an estimate as plain JSON values: items with lines, charges, discounts, payments, totals.

Where the shop prints prices with tax, lines, charges and discounts carry "with_tax" too, each with its share
of the taxes, so that they add up to the total with tax. Costs and suppliers are not in here.
"""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimates.rules.lines import Line
from estimates.rules.plan import places_in_words
from estimates.rules.pricing import Priced, PricedItem
from estimates.rules.taxed import firm_with_tax, item_with_tax
from estimates.rules.terms import Category
from shop.rules.currency import minor_units, round_money
from shop.rules.rounding import round_half_up
from shop.rules.totals import Adjustment, Totals

Json = dict[str, Any]
ZERO = Decimal(0)


class Amounts:
    """The amounts of one priced estimate, put into words of the document."""

    def __init__(self, priced: Priced, *, with_tax: bool) -> None:
        self.priced, self.terms = priced, priced.sheet.terms
        self.places = minor_units(self.terms.currency)
        self.taxed = firm_with_tax(priced) if with_tax else None

    def money(self, amount: Decimal) -> str:
        """In the decimals of the currency; a rate finer than that keeps its own."""
        exponent = amount.normalize().as_tuple().exponent
        finer = -exponent if isinstance(exponent, int) else 0
        return str(round_half_up(amount, max(self.places, finer)))

    def _maybe(self, amount: Decimal | None) -> str | None:
        return None if amount is None else self.money(amount)

    def groups(self) -> Json:
        return {
            group: [self._item(one) for one in self.priced.group(group)]
            for group in ("firm", "contingent", "optional")
        }

    def _item(self, one: PricedItem) -> Json:
        item = one.item
        known: Mapping[str, Decimal] = {}
        if self.taxed is not None:
            known = self.taxed.lines if item.group == "firm" else item_with_tax(one, self.priced)
        return {
            "key": item.key,
            "title": item.title,
            "where": places_in_words(item.places),
            "why": list(item.why),
            "description": item.description,
            "origin": item.origin,
            "done": item.done,
            "by_hand": item.hand is not None,
            "minutes": one.minutes,
            "gross": self.money(one.gross),
            "discount": self._discount(one),
            "net": self.money(one.net),
            "with_tax": self.money(sum((known[line.key] for line in one.lines), ZERO))
            if self.taxed is not None
            else None,
            "adds": self._maybe(one.adds),
            "later": self._maybe(one.later),
            "later_minutes": one.later_minutes,
            "lines": [self._line(line, known.get(line.key)) for line in one.lines],
        }

    def _discount(self, one: PricedItem) -> Json | None:
        if one.discount is None:
            return None
        return {
            "reason": one.discount.reason,
            "percent": percent_text(one.discount.percent),
            "amount": self.money(one.gross - one.net),
        }

    def _line(self, line: Line, with_tax: Decimal | None) -> Json:
        part = line.piece.part if line.piece is not None and not line.to_confirm else None
        return {
            "key": line.key,
            "kind": line.kind,
            "category": line.category,
            "text": line.text,
            "part": part and {"brand": part.brand_name, "number": part.number, "grade": part.grade},
            "quantity": f"{line.quantity:f}" if isinstance(line.quantity, Decimal) else str(line.quantity),
            "unit_price": self.money(line.unit_price),
            "unit_with_tax": None if with_tax is None else self.money(self._unit_with_tax(line)),
            "allowance": self.money(line.allowance),
            "net": self.money(line.net),
            "with_tax": self._maybe(with_tax),
            "minutes": line.minutes,
            "to_confirm": line.to_confirm,
            "note": line.note,
            "tax": self._tax_names(self.terms.tax_keys(line.category)),
        }

    def _unit_with_tax(self, line: Line) -> Decimal:
        """Of one piece by itself, rounded; the line's amount is its share of the whole."""
        return round_money(
            Fraction(line.unit_price) * (1 + self._rate_on(line.category)), self.terms.currency
        )

    def _rate_on(self, category: Category) -> Fraction:
        keys = self.terms.tax_keys(category)
        return sum((Fraction(self.terms.rates[key].percent) / 100 for key in keys), Fraction(0))

    def _tax_names(self, keys: tuple[str, ...]) -> list[str]:
        return [self.terms.rates[key].name for key in keys]

    # On the whole

    def charges(self) -> list[Json]:
        taxed = self.taxed.charges if self.taxed else [None] * len(self.priced.charges)
        return [self._adjustment(*pair) for pair in zip(self.priced.charges, taxed, strict=True)]

    def allowances(self) -> list[Json]:
        """The discount on the document, once for each set of taxes."""
        priced, discount = self.priced, self.priced.sheet.document
        if discount is None:
            return []
        taxed = self.taxed.allowances if self.taxed else [None] * len(priced.allowances)
        bases = [base for _, base, amount in priced.chosen.allowances if amount]
        return [
            {
                **self._adjustment(less, with_tax),
                "percent": percent_text(discount.percent),
                "base": self.money(priced.sheet.money(base)),
            }
            for less, with_tax, base in zip(priced.allowances, taxed, bases, strict=True)
        ]

    def _adjustment(self, one: Adjustment, with_tax: Decimal | None) -> Json:
        return {
            "key": one.key,
            "reason": one.reason,
            "amount": self.money(one.amount),
            "with_tax": self._maybe(with_tax),
            "tax": self._tax_names(one.tax_keys),
        }

    def payments(self) -> list[Json]:
        return [
            {"received_on": one.received_on.isoformat(), "how": one.how, "amount": self.money(one.amount)}
            for one in self.priced.adjustments.payments
        ]


def percent_text(percent: Decimal | None) -> str | None:
    return None if percent is None else f"{percent.normalize():f}"


def totals_content(totals: Totals) -> Json:
    """The totals of a document, of whatever choice of items."""
    return {
        "lines": str(totals.line_sum),
        "allowances": str(totals.allowance_sum),
        "charges": str(totals.charge_sum),
        "without_tax": str(totals.without_tax),
        "tax": [
            {
                "name": part.rate.name,
                "percent": f"{part.rate.percent.normalize():f}",
                "taxable": str(part.taxable),
                "amount": str(part.amount),
            }
            for part in totals.tax
        ],
        "tax_sum": str(totals.tax_sum),
        "with_tax": str(totals.with_tax),
        "prepaid": str(totals.prepaid),
        "due": str(totals.due),
    }
