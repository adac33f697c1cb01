"""One cell of a price file into what is staged for the database, remembering what was read before.

A price list repeats itself: the same packs, days and even prices stand in it a thousand times. Each column
has a reader that is a dictionary; what it has seen costs a look-up. Amounts are staged as whole
ten-thousandths, so that nothing between the file and the table is a binary fraction, and both databases
compare them exactly.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from catalog.offers.files import Cell
from catalog.packs.cells import value_of
from catalog.packs.columns import Column, columns
from catalog.packs.faults import Wrong

MOST_KEPT = 100_000
_DOTTED_DAY = re.compile(r"([0-9]{1,2})\.([0-9]{1,2})\.([0-9]{4})")

Read = Callable[[Any], Any]


class Remembering(dict[Cell, Any]):
    """Reads a cell once. Raises Wrong for a cell that cannot be taken."""

    def __init__(self, read: Read) -> None:
        super().__init__()
        self.read = read

    def __missing__(self, cell: Cell) -> Any:
        value = self.read(cell)
        if len(self) >= MOST_KEPT:
            self.clear()
        self[cell] = value
        return value


def whole_number(name: str, nothing: Any) -> Read:
    column = column_of(name)

    def read(cell: Cell) -> Any:
        value = value_of(column, text_of(cell))
        return nothing if value is None else str(value)

    return read


def day(name: str, nothing: Any) -> Read:
    """Year-month-day, or day.month.year with dots, which is never written month first (common practice)."""
    column = column_of(name)

    def read(cell: Cell) -> Any:
        text = text_of(cell)
        if found := _DOTTED_DAY.fullmatch(text):
            text = f"{found[3]}-{found[2]:0>2}-{found[1]:0>2}"
        value = value_of(column, text)
        return nothing if value is None else str(value)

    return read


def brand(known: Mapping[str, int], nothing: Any, unknown: Any) -> Read:
    """By code or name. `unknown` is what an unknown brand becomes, None to call it wrong."""

    def read(cell: Cell) -> Any:
        text = text_of(cell)
        if not text:
            return nothing
        found = known.get(text.casefold())
        if found is not None:
            return str(found)
        if unknown is not None:
            return unknown
        raise Wrong(f"there is no brand '{text}'", "add it to the records first, or correct the name")

    return read


def currency(wanted: str, nothing: Any) -> Read:
    def read(cell: Cell) -> Any:
        text = text_of(cell)
        if text and text.upper() != wanted:
            raise Wrong(f"'{text}' is not the supplier's currency", f"give prices in {wanted}")
        return nothing

    return read


def break_quantity(cell: Cell) -> int | None:
    text = text_of(cell)
    if not text:
        return None
    value = value_of(_of_breaks(), text)
    assert isinstance(value, int)
    return value


def text_of(cell: Cell) -> str:
    """A cell as text. A workbook's whole number is one without a point; other numbers are no text."""
    if isinstance(cell, str):
        text = cell.strip()
        if text.startswith("="):
            raise Wrong("is a formula", "replace it by its value (copy, paste values only)")
        return text
    if cell == cell.to_integral_value():
        return f"{int(cell)}"
    return f"{cell:f}"


def column_of(name: str, required: bool = False) -> Column:
    return replace(columns("offers")[name], required=required)


def _of_breaks() -> Column:
    return columns("price_breaks")["quantity_from"]
