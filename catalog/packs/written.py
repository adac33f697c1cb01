"""A value of the database as it is written into a cell: one form for each value, which `cells` reads back.

An amount has the decimals of its currency (ISO 4217), or more where more were given; a stated value has the
decimal places of its source; any other number has only the decimals that it needs. Spaces around a text do
not count, just as they do not where it is typed.
"""

import re
from collections.abc import Callable, Sequence
from decimal import Decimal
from functools import lru_cache
from typing import Any

from catalog.packs.cells import value_of
from catalog.packs.columns import Column
from shop.rules.currency import minor_units
from shop.rules.errors import Refused

Record = Sequence[Any]
At = Callable[[str], int]
SPECIAL = re.compile('[",\r\n]')  # RFC 4180, section 2: such a cell stands in quotes
REMEMBERED = 4_096


def cell_writer(column: Column, at: At, stated: Sequence[str]) -> Callable[[Record], str]:
    """What makes of a record, in which `at` tells where each path stands, the text of the cell.

    The text is checked as an import would: Wrong where it could not be read again. `stated` are the columns
    whose decimal places are kept with the row, and are the same for all of them.
    """
    checked = lru_cache(REMEMBERED)(lambda text: (value_of(column, text), text)[1])
    places = _places(column, at, stated)
    found = [at(_as_spelled(path)) for path in column.paths]
    first, *others = found

    def write(record: Record) -> str:
        value = record[first]
        for other in others:
            if value is None:
                value = record[other]
        if value is None:
            return checked("")
        if isinstance(value, Decimal):
            return checked(number_text(value, places(record)))
        if isinstance(value, bool):
            return "true" if value else "false"
        return checked(str(value).strip())

    return write


def number_text(value: Decimal, places: int) -> str:
    """
    >>> [number_text(Decimal(text), 2) for text in ("0.600000", "11.2", "1.2345", "7", "-0.0")]
    ['0.60', '11.20', '1.2345', '7.00', '0.00']
    >>> number_text(Decimal("12.0"), 0), number_text(Decimal("1E+3"), 0)
    ('12', '1000')
    """
    whole, _, decimals = f"{value if value else abs(value):f}".partition(".")
    decimals = decimals.rstrip("0").ljust(places, "0")
    return f"{whole}.{decimals}" if decimals else whole


def quoted(text: str) -> str:
    """The cell as RFC 4180 has it."""
    return '"' + text.replace('"', '""') + '"' if SPECIAL.search(text) else text


def _as_spelled(path: str) -> str:
    """A part is found by its normalised number, and written as its brand spells it."""
    start, sign, last = path.rpartition("__")
    return f"{start}{sign}number" if last == "normalised" else path


def _places(column: Column, at: At, stated: Sequence[str]) -> Callable[[Record], int]:
    """At least how many decimals the column has in a record."""
    if column.currency:
        currency = at(column.currency)
        return lambda record: _places_of_currency(record[currency])
    if column.name in stated:
        kept, values = at("places"), [at(name) for name in stated]
        return lambda record: max(record[kept], *(_needed(record[value]) for value in values))
    return lambda record: 0


def _places_of_currency(code: str) -> int:
    try:
        return minor_units(code)
    except Refused:
        return 0  # told at the currency itself


def _needed(value: Decimal | None) -> int:
    return 0 if value is None else len(number_text(value, 0).partition(".")[2])
