"""Prices printed with tax, whose sum is still the total to the smallest coin.

Tax is taken once on the sum of all that a tax applies to, not line by line. So each line carries its share of
that tax: its exact tax rounded down, and the units left over go, one by one, to those that lost most by that
(between equals to the earlier one). No line is more than one unit per tax off its own exact tax, and the
lines, charges and allowances with tax add up to the total with tax.

Three lines of 0.33 with 20 %: each has 0.066 of tax, together 0.198, which is taxed with 0.20:

>>> vat = TaxRate("vat", "VAT", Decimal(20), "S")
>>> spread([NetLine(key, Decimal("0.33"), ("vat",)) for key in "abc"], {"vat": vat}, "EUR")
(Decimal('0.40'), Decimal('0.40'), Decimal('0.39'))
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimates.rules.pricing import Priced, PricedItem
from estimates.rules.sheet import tax_units
from shop.rules.currency import minor_units, round_money
from shop.rules.tax import TaxRate
from shop.rules.totals import NetLine


def spread(lines: Sequence[NetLine], rates: Mapping[str, TaxRate], currency: str) -> tuple[Decimal, ...]:
    """Each amount with its share of the taxes on all of them; what is taken off is negative."""
    places = minor_units(currency)
    nets = [int(line.net.scaleb(places)) for line in lines]
    taxed = list(nets)
    for key, rate in rates.items():
        places_taxed = [place for place, line in enumerate(lines) if key in line.tax_keys]
        up, down = rate.percent.as_integer_ratio()
        parts = [divmod(nets[place] * up, down * 100) for place in places_taxed]
        left = tax_units(sum(nets[place] for place in places_taxed), rate) - sum(whole for whole, _ in parts)
        by_loss = sorted(range(len(parts)), key=lambda number: -parts[number][1])
        for number, (whole, _) in enumerate(parts):
            taxed[places_taxed[number]] += whole
        for number in by_loss[:left]:
            taxed[places_taxed[number]] += 1
    return tuple(round_money(Decimal(units).scaleb(-places), currency) for units in taxed)


@dataclass(frozen=True)
class Taxed:
    """Firm lines by key, charges and allowances (as what comes off) in order, each with its share of tax.

    Lines and charges less allowances make the firm total with tax.
    """

    lines: dict[str, Decimal]
    charges: tuple[Decimal, ...]
    allowances: tuple[Decimal, ...]


def firm_with_tax(priced: Priced) -> Taxed:
    """The firm part of an estimate with tax."""
    terms = priced.sheet.terms
    lines = [line for one in priced.group("firm") for line in one.lines]
    entries = [
        *(NetLine(line.key, line.net, terms.tax_keys(line.category)) for line in lines),
        *(NetLine(charge.key, charge.amount, charge.tax_keys) for charge in priced.charges),
        *(NetLine(less.key, -less.amount, less.tax_keys) for less in priced.allowances),
    ]
    shares = spread(entries, terms.rates, terms.currency)
    charged = len(lines) + len(priced.charges)
    return Taxed(
        lines={line.key: share for line, share in zip(lines, shares, strict=False)},
        charges=shares[len(lines) : charged],
        allowances=tuple(-share for share in shares[charged:]),
    )


def item_with_tax(one: PricedItem, priced: Priced) -> dict[str, Decimal]:
    """The lines of an item that is not firm, by key, with the taxes on the item by itself."""
    terms = priced.sheet.terms
    entries = [NetLine(line.key, line.net, terms.tax_keys(line.category)) for line in one.lines]
    shares = spread(entries, terms.rates, terms.currency)
    return dict(zip((line.key for line in one.lines), shares, strict=True))
