"""Amounts as they are printed."""

from decimal import Decimal

from django import template

from shop.rules.currency import format_money
from shop.rules.errors import Refused

register = template.Library()


@register.filter
def money(amount: Decimal | None, currency: str) -> str:
    """{{ amount|money:"EUR" }}: 1,234.50 EUR; the bare figure where the currency is none to pay in."""
    if amount is None:
        return ""
    try:
        return format_money(amount, currency)
    except Refused:
        return f"{amount:f} {currency}"


@register.filter
def plain(value: Decimal | None) -> str:
    """A stored figure without the zeros its column adds: 12.5000 is 12.5, 100.0000 is 100."""
    if value is None:
        return ""
    shown = f"{value:f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
