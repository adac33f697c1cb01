"""One cell of a price file into what is staged for the database, remembering what was read before.

A price list repeats itself: the same packs, days and even prices stand in it a thousand times. Each column
has a reader that is a dictionary; what it has seen costs a look-up. Amounts are staged as whole
ten-thousandths, so that nothing between the file and the table is a binary fraction, and both databases
compare them exactly.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from catalog.offers.files import Cell
from catalog.packs.cells import value_of
from catalog.packs.columns import Column, columns
from catalog.packs.faults import Wrong
from catalog.rules.partnumber import comparables, normalise
from shop.rules.errors import Refused

MOST_KEPT = 100_000
LONGEST_NUMBER = 60
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


def part_numbers(nothing: Any) -> Callable[[Sequence[Cell]], list[Any]]:
    """A whole column of the brands' numbers at once; raises Wrong where one cannot be taken."""
    single = part_number(nothing)

    def read(column: Sequence[Cell]) -> list[Any]:
        plain = _plain(column)
        numbers = comparables(plain) if plain is not None else None
        if numbers is None or "" in numbers or len(max(numbers, key=len)) > LONGEST_NUMBER:
            return list(map(single, column))
        return numbers

    return read


def supplier_numbers(column: Sequence[Cell]) -> list[str]:
    """A whole column of the supplier's own numbers at once; raises Wrong where one cannot be taken."""
    plain = _plain(column)
    if plain is None or len(max(plain, key=len)) > LONGEST_NUMBER or not "".join(plain).isprintable():
        return list(map(supplier_number, column))
    return list(map(str.strip, plain))


def _plain(column: Sequence[Cell]) -> Sequence[str] | None:
    """The column where it holds nothing but texts without formulas."""
    try:
        together = "\n".join(column)  # type: ignore[arg-type]
    except TypeError:
        return None
    return None if together.startswith("=") or "\n=" in together or "\n " in together else column  # type: ignore[return-value]


def part_number(nothing: Any) -> Read:
    def read(cell: Cell) -> Any:
        if cell == "":
            return nothing
        if not isinstance(cell, str) and cell != cell.to_integral_value():
            raise Wrong(
                f"is kept as the number {cell:f}", "format the column as text, so that no nought gets lost"
            )
        try:
            number = normalise(text_of(cell))
        except Refused as refused:
            raise Wrong(refused.faults[0].what, refused.faults[0].right) from None
        if len(number) > LONGEST_NUMBER:
            raise Wrong(f"is {len(number)} characters long", f"give at most {LONGEST_NUMBER}")
        return number

    return read


def supplier_number(cell: Cell) -> str:
    text = cell.strip() if isinstance(cell, str) else text_of(cell)
    if len(text) <= LONGEST_NUMBER and text.isprintable():
        return text
    return str(value_of(column_of("supplier_number"), " ".join(text.split())))


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
