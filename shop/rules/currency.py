"""Money has a currency, and the currency says how small its smallest coin is on paper.

The euro counts in hundredths, the yen in whole yen, the Kuwaiti dinar in thousandths. The list is that
of ISO 4217 (list one, published by SIX, as carried by the iso4217 package). It is used as it stands:
some other lists follow local habit and print, say, the forint without its two decimals.

>>> from decimal import Decimal
>>> minor_units("EUR"), minor_units("JPY"), minor_units("KWD")
(2, 0, 3)
>>> round_money(Decimal("10.005"), "EUR")
Decimal('10.01')
>>> format_money(Decimal("1234.5"), "EUR")
'1,234.50 EUR'
>>> minor_units("XAU")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: currency: XAU has no minor unit; use a currency that is paid in, such as EUR
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache

from iso4217 import Currency

from shop.rules.errors import Refused
from shop.rules.rounding import checked, round_half_up


@cache
def minor_units(code: str) -> int:
    """How many decimals amounts in this currency carry. Source: ISO 4217, list one.

    `code` is the three-letter code in capitals. Refused for a code that ISO 4217 does not list, and for
    one without a minor unit (gold, silver, the testing code): nothing can be priced in those.
    """
    try:
        exponent = Currency(code).exponent
    except ValueError:
        meant = code.strip().upper()
        hint = meant if meant in Currency.__members__ else "EUR"
        raise Refused.single(
            "currency",
            f"{code!r} is not a currency code of ISO 4217",
            f"write three capital letters, such as {hint}",
        ) from None
    if exponent is None:
        raise Refused.single(
            "currency", f"{code} has no minor unit", "use a currency that is paid in, such as EUR"
        )
    return int(exponent)


def round_money(amount: Decimal | Fraction | int, code: str) -> Decimal:
    """The amount in whole minor units of the currency, halves away from zero. Always fully written out."""
    return round_half_up(amount, minor_units(code))


def exact_money(amount: Decimal | int, code: str, where: str) -> Decimal:
    """The amount written out in the currency's decimals, if that changes nothing; else Refused.

    For amounts that must already be payable: rounding them here would hide a mistake made earlier.
    `where` names the amount in the refusal.
    """
    checked(amount, where)
    rounded = round_money(amount, code)
    if rounded != amount:
        places = minor_units(code)
        raise Refused.single(
            where,
            f"{amount} {code} is finer than the currency's smallest unit",
            f"give at most {places} decimals" if places else "give a whole amount",
        )
    return rounded


def format_money(amount: Decimal | int, code: str) -> str:
    """The amount as it is printed: rounded, thousands set off by commas, a point, the code behind."""
    return f"{round_money(amount, code):,f} {code}"
