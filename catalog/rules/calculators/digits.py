"""Numbers of the calculators: worked long, shown short.

Everything is worked to 40 digits and rounded once, at the end, half up, to the digits a workshop can use:
four, unless a calculator says otherwise. 25.48012 N·m is shown as 25.48 and 0.000312 as 0.000312; what is
large is rounded to whole units, never to tens: 15925.4 N is 15925.

>>> significant(Decimal("25.48012")), significant(Decimal("15925.4"))
(Decimal('25.48'), Decimal('15925'))
>>> shown(Decimal("0.5000")), shown(Decimal("-3.14159"), 3)
('0.5', '-3.14')
"""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction

from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

WORKING = Context(prec=40)
PI = Decimal("3.141592653589793238462643383279502884197")
SHOWN_DIGITS = 4
ZERO = Decimal(0)


def significant(value: Decimal, digits: int = SHOWN_DIGITS) -> Decimal:
    """Rounded half up to so many significant digits, but never to tens or hundreds."""
    return round_half_up(value, max(0, digits - 1 - value.adjusted())) if value else Decimal(0)


def shown(value: Decimal, digits: int = SHOWN_DIGITS) -> str:
    """As written in a sentence: rounded, without trailing zeros and without an exponent."""
    text = f"{significant(value, digits):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def power(base: Decimal, exponent: Fraction) -> Decimal:
    """`base` to a broken exponent, like 92 to 18/39, through the natural logarithm, to 36 digits or so."""
    ratio = WORKING.divide(Decimal(exponent.numerator), Decimal(exponent.denominator))
    return WORKING.exp(WORKING.multiply(WORKING.ln(base), ratio))


def positive(value: Decimal, where: str, unit: str) -> Decimal:
    """The value itself; Refused, naming `where`, unless it is a number greater than zero."""
    return _checked(value, where, unit, "more than 0", least_allowed=False)


def not_negative(value: Decimal, where: str, unit: str) -> Decimal:
    """The value itself; Refused, naming `where`, unless it is zero or a number greater than zero."""
    return _checked(value, where, unit, "0 or more", least_allowed=True)


def _checked(value: Decimal, where: str, unit: str, wanted: str, *, least_allowed: bool) -> Decimal:
    if not isinstance(value, Decimal):
        raise TypeError(f"{where} is a Decimal here, not {type(value).__name__}")
    if not value.is_finite() or value < 0 or (value == 0 and not least_allowed):
        told = f"{value} {unit}".strip() if value.is_finite() else str(value)
        raise Refused.single(where, f"{told} is not {wanted}", f"give {wanted} {unit}".strip())
    return value
