"""The smallest pieces of wording: amounts with thousands set off, minutes, sentences.

>>> amount("1234.50"), amount("1234567.125")
('1,234.50', '1,234,567.125')
>>> sentence("worn beyond its limit")
'Worn beyond its limit.'
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

Json = Mapping[str, Any]
NBSP = "\u00a0"


def amount(text: str) -> str:
    """A JSON amount for people, with all its decimals: "1234.50" as "1,234.50"."""
    return f"{Decimal(text):,f}"


class Money:
    """Amounts with their currency, kept on one line."""

    def __init__(self, currency: str) -> None:
        self.currency = currency

    def __call__(self, text: str) -> str:
        return f"{amount(text)}{NBSP}{self.currency}"


def minutes(count: int) -> str:
    return f"{count}{NBSP}min"


def sentence(text: str) -> str:
    """With a capital at its start and a full stop at its end."""
    text = capital(text.strip())
    return text if not text or text[-1] in ".!?" else f"{text}."


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]
