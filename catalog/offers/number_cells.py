"""Part numbers of a price file: the brand's own and the supplier's, cell by cell or a whole column at once.

Numbers hardly ever repeat within a file, so nothing is remembered. A column of plain texts is taken as one;
only where something in it needs a closer look is it gone through cell by cell.
"""

from collections.abc import Callable, Sequence
from typing import Any

from catalog.offers.cells import Read, column_of, text_of
from catalog.offers.files import Cell
from catalog.packs.cells import value_of
from catalog.packs.faults import Wrong
from catalog.rules.partnumber import comparables, normalise
from shop.rules.errors import Refused

LONGEST_NUMBER = 60


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
