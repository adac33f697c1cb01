"""How the shop prices: its rate, increment, markup ladder, taxes, supplies and fees, read once per estimate.

>>> terms = Terms(currency="EUR", labour_rate=Decimal("96.00"), increment=Decimal("0.1"),
...     bands=(MarkupBand(Decimal(0), Decimal(50)),), markup_mode="continuous",
...     rates={"vat": TaxRate("vat", "VAT", Decimal(20), "S")}, taxes={"labour": ("vat",)})
>>> terms.labour_price(50)
(Decimal('0.8'), Decimal('76.80'))
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from estimates.rules.labour import billed_hours
from shop.rules.currency import round_money
from shop.rules.markup import MarkupBand, SellPrice, sell_price
from shop.rules.tax import TaxRate

Category = Literal["labour", "parts", "fees", "bought-in", "deposit"]


@dataclass(frozen=True)
class Terms:
    """Amounts in `currency` without tax. `taxes` gives the keys in `rates` that each line category carries.

    `supplies_percent` is percent of labour, at most `supplies_cap`; `fees` are (code, name, amount).
    """

    currency: str
    labour_rate: Decimal
    increment: Decimal
    bands: tuple[MarkupBand, ...]
    markup_mode: Literal["stepped", "continuous"]
    rates: Mapping[str, TaxRate]
    taxes: Mapping[str, tuple[str, ...]]
    supplies_percent: Decimal = Decimal(0)
    supplies_cap: Decimal | None = None
    fees: tuple[tuple[str, str, Decimal], ...] = ()
    _sold: dict[tuple[Decimal, Decimal | None], SellPrice] = field(
        default_factory=dict, compare=False, repr=False
    )

    def tax_keys(self, category: Category) -> tuple[str, ...]:
        return self.taxes.get(category, ())

    def labour_price(self, minutes: int) -> tuple[Decimal, Decimal]:
        """Billed hours and their price; hours rounded once on the total, then the amount."""
        hours = billed_hours(minutes, self.increment)
        return hours, round_money(hours * self.labour_rate, self.currency)

    def sell(self, cost: Decimal, list_price: Decimal | None) -> SellPrice:
        """The sell price of one piece; the same cost gives the same price, so it is worked out once."""
        known = self._sold.get((cost, list_price))
        if known is None:
            known = sell_price(
                cost, self.bands, mode=self.markup_mode, currency=self.currency, list_price=list_price
            )
            self._sold[cost, list_price] = known
        return known

    def supplies(self, labour: Decimal) -> Decimal:
        """Shop supplies on this much labour."""
        amount = self.uncapped_supplies(labour)
        if self.supplies_cap is None:
            return amount
        return min(amount, round_money(self.supplies_cap, self.currency))

    def supplies_capped(self, labour: Decimal) -> bool:
        """Whether the cap took something off."""
        return self.supplies(labour) < self.uncapped_supplies(labour)

    def uncapped_supplies(self, labour: Decimal) -> Decimal:
        """Shop supplies before the cap."""
        return round_money(labour * self.supplies_percent / 100, self.currency)
