"""Prices and deposits as a supplier typed them, into whole ten-thousandths."""

import re
from decimal import Decimal
from typing import Any

from catalog.offers.cells import Read, column_of, text_of
from catalog.offers.files import Cell
from catalog.packs.cells import value_of
from catalog.packs.columns import Column
from catalog.packs.faults import Wrong
from catalog.rules.pricetext import amount
from shop.rules.errors import Refused

PLACES = 4
_COMMON = re.compile(r"([0-9]{1,9})([.,])([0-9]{1,2})")
_SIGN = {".": "point", ",": "comma"}


class Amounts:
    """Reads amounts as ten-thousandths. All of a file's amounts share one decimal sign."""

    def __init__(self, sign: str, nothing: Any) -> None:
        self.said, self.used, self.nothing = sign, sign, nothing

    def reader(self, name: str, *, required: bool) -> Read:
        column = column_of(name, required)

        def read(cell: Cell) -> Any:
            found = _COMMON.fullmatch(cell) if isinstance(cell, str) else None
            if found:
                whole, mark, decimals = found.groups()
                used = _SIGN[mark]
                if self.used == used or not self.used:
                    self.used = used
                    return str(int(whole + decimals.ljust(PLACES, "0")))
            return self._slow(column, cell)

        return read

    def _slow(self, column: Column, cell: Cell) -> Any:
        text = text_of(cell)
        if text and isinstance(cell, str):
            try:
                plain, used = amount(text, self.said)
                if used and self.used and used != self.used:
                    amount(text, self.used)  # refuses it, naming both signs
            except Refused as refused:
                raise Wrong(refused.faults[0].what, refused.faults[0].right) from None
            text, self.used = plain, self.used or used
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        value = value_of(column, text)
        return self.nothing if value is None else ten_thousandths(value)


def ten_thousandths(value: Any) -> str:
    return str(int(Decimal(value).scaleb(PLACES)))
