"""What a tax rate is, and the tax on a sum.

A rate has a percentage and a category: ordinary tax, zero rate, exempt, paid by the buyer, and so on, in
the letters the European invoice standard uses. The tax is taken once, on the sum of everything the rate
applies to, and rounded once; a refund gives back to the cent what the sale took.

>>> from decimal import Decimal
>>> vat = TaxRate("vat", "VAT 25 %", Decimal("25"), "S")
>>> tax_on(Decimal("1460.50"), vat, "NOK").amount
Decimal('365.13')
>>> TaxRate("free", "VAT 25 %", Decimal("25"), "E")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: tax rate free: category E (exempt from tax) at 25 %; give 0 % or another category
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from shop.rules.currency import round_money
from shop.rules.errors import Refused
from shop.rules.rounding import exact_fraction

# EN 16931-1:2017, the subset of the UNCL 5305 duty and tax category codes it allows (BT-118, BT-151).
CATEGORIES: Mapping[str, str] = MappingProxyType(
    {
        "S": "standard rate",
        "Z": "zero rated",
        "E": "exempt from tax",
        "AE": "tax paid by the buyer (reverse charge)",
        "K": "supply to another country of the European Union",
        "G": "export outside the European Union",
        "O": "outside the scope of tax",
        "L": "Canary Islands general indirect tax",
        "M": "tax in Ceuta and Melilla",
    }
)
# Rules BR-Z-05, BR-E-05, BR-AE-05, BR-IC-05 and BR-G-05 want 0; BR-O-05 wants no rate, which is 0 here.
ALWAYS_ZERO = frozenset({"Z", "E", "AE", "K", "G", "O"})


@dataclass(frozen=True, slots=True)
class TaxRate:
    """A tax as the shop sets it up: `key` for reference, `name` to print, `percent`, and its `category`.

    `category` is a code of CATEGORIES. Refused: an unknown category, a percentage below 0 or above 100, a
    standard rate of nothing (BR-S-05) and any percentage where the category means none is due.
    """

    key: str
    name: str
    percent: Decimal
    category: str

    def __post_init__(self) -> None:
        where = f"tax rate {self.key}"
        if self.category not in CATEGORIES:
            known = ", ".join(f"{code} ({meaning})" for code, meaning in CATEGORIES.items())
            raise Refused.single(where, f"no category {self.category!r}", f"use one of {known}")
        if not isinstance(self.percent, Decimal):
            raise TypeError(f"a percentage is a Decimal here, not {type(self.percent).__name__}")
        if not self.percent.is_finite() or not 0 <= self.percent <= 100:
            raise Refused.single(
                where, f"{self.percent} % is not a tax rate", "give a percentage from 0 to 100"
            )
        meaning = f"category {self.category} ({CATEGORIES[self.category]})"
        if self.category in ALWAYS_ZERO and self.percent != 0:
            raise Refused.single(where, f"{meaning} at {self.percent} %", "give 0 % or another category")
        if self.category == "S" and self.percent == 0:
            raise Refused.single(
                where, f"{meaning} at 0 %", "give a percentage above 0, or category Z, E or O"
            )


@dataclass(frozen=True, slots=True)
class TaxAmount:
    """The tax of one `rate`: the sum it was taken on and what it came to, both in the same currency."""

    rate: TaxRate
    taxable: Decimal
    amount: Decimal


def tax_on(taxable: Decimal, rate: TaxRate, currency: str) -> TaxAmount:
    """The tax on a sum, rounded half away from zero to the minor unit. EN 16931 BR-CO-17.

    The standard's official checks round the absolute sum and keep its sign, so a credit mirrors a charge.
    """
    exact = exact_fraction(taxable, "taxable sum") * Fraction(rate.percent) / 100
    return TaxAmount(rate, taxable, round_money(exact, currency))
