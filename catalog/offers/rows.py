"""Rows of a price file into columns to stage, thousands at a time.

A chunk is read column by column, which costs well under a microsecond a cell. Only where something is wrong
is it gone through again row by row, to tell every fault with its row and column.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import compress
from typing import Any

from catalog.offers import cells, number_cells
from catalog.offers.amounts import Amounts
from catalog.offers.file_faults import FileFaults, WrongTogether
from catalog.offers.files import Chunk, Record
from catalog.offers.layout import Layout
from catalog.packs.faults import Wrong
from catalog.rules.partnumber import comparables
from catalog.rules.pricejump import dearer

Reader = Callable[[Any], Any]
# In the order of the staging table. `brand` and `number` together name the part.
STAGED = (
    "brand", "number", "supplier_number", "supplier_normalised", "price", "pack", "minimum_quantity",
    "deposit", "lead_days", "valid_from", "valid_until", "breaks",
)  # fmt: skip


@dataclass(frozen=True)
class Staged:
    """`columns` in the order of `Rows.columns`; `breaks` as (row, pieces from, price)."""

    columns: list[Sequence[Any]]
    breaks: list[tuple[str, str, str]]


class Rows:
    """Checks and converts the rows of one file. `nothing` is what the staging takes for an empty cell."""

    def __init__(
        self,
        layout: Layout,
        *,
        decimal: str,
        nothing: Any,
        brands: Mapping[str, int],
        fixed_brand: int | None,
        currency: str,
        valid_from: date,
        leave_out_unknown: bool,
    ) -> None:
        self.layout, self.nothing, self.first_day = layout, nothing, valid_from.isoformat()
        self.fixed_brand = None if fixed_brand is None else str(fixed_brand)
        amounts = Amounts(decimal, nothing)
        unknown = "0" if leave_out_unknown else None  # no brand has the key 0
        remembered: dict[str, Callable[[Any], Any]] = {
            "brand": cells.brand(brands, nothing, unknown),
            "price": amounts.reader("price", required=True),
            "currency": cells.currency(currency, nothing),
            "pack": cells.whole_number("pack", nothing),
            "minimum_quantity": cells.whole_number("minimum_quantity", nothing),
            "deposit": amounts.reader("deposit", required=False),
            "lead_days": cells.whole_number("lead_days", nothing),
            "valid_from": cells.day("valid_from", self.first_day),
            "valid_until": cells.day("valid_until", nothing),
        }
        self.readers: dict[str, Reader] = {
            name: cells.Remembering(read).__getitem__
            for name, read in remembered.items()
            if name in layout.at
        }
        if "number" in layout.at:
            self.readers["number"] = number_cells.part_number(nothing)
        if "supplier_number" in layout.at:
            self.readers["supplier_number"] = number_cells.supplier_number
        # These two hardly ever repeat: they are read a column at a time instead.
        self.whole: dict[str, Callable[[Sequence[Any]], list[Any]]] = {
            "number": number_cells.part_numbers(nothing),
            "supplier_number": number_cells.supplier_numbers,
        }
        self.break_price = cells.Remembering(amounts.reader("deposit", required=False)).__getitem__
        self.break_quantity = cells.Remembering(cells.break_quantity).__getitem__
        given = set(layout.at) - {"currency"}
        if "number" in given:
            given.add("brand")
        else:
            given.discard("brand")
        if "supplier_number" in given:
            given.add("supplier_normalised")
        if layout.breaks:
            given.add("breaks")
        self.dearer_rows: dict[str, None] = {}
        self.by_own_number = "number" not in layout.at
        self.columns = ("row", *(name for name in STAGED if name in given))

    def staged(self, chunk: Chunk, faults: FileFaults) -> Staged:
        """The chunk's good rows; what is wrong with the others is told."""
        try:
            return self._convert(chunk)
        except Wrong:
            rows = chunk.records()
            good = [self._row_is_good(*row, faults) for row in zip(chunk.numbers, rows, strict=True)]
            numbers = list(compress(chunk.numbers, good))
            return self._convert(Chunk(numbers, chunk.done, list(compress(rows, good))))

    def _convert(self, chunk: Chunk) -> Staged:
        """Raises Wrong at the first thing that cannot be taken."""
        numbers = chunk.numbers
        if not numbers:
            return Staged([], [])
        across = chunk.across(self.layout.width)
        if across is None:
            raise Wrong("has another number of cells than the header", "")
        values: dict[str, Sequence[Any]] = {
            name: self.whole[name](across[place]) if name in self.whole else list(map(read, across[place]))
            for name, read in self.readers.items()
            for place in (self.layout.at[name],)
        }
        if "supplier_number" in values:
            values["supplier_normalised"] = comparables(values["supplier_number"])
        if "number" in values and self.fixed_brand is not None:
            values["brand"] = [self.fixed_brand] * len(numbers)
        self._check_across(values, len(numbers))
        texts = list(map(str, numbers))
        breaks: list[tuple[str, str, str]] = []
        if self.layout.breaks:
            values["breaks"] = [
                self._breaks(text, row, price, breaks)
                for text, row, price in zip(texts, chunk.records(), values["price"], strict=True)
            ]
        return Staged([texts, *(values[name] for name in self.columns[1:])], breaks)

    def _check_across(self, values: dict[str, Sequence[Any]], count: int) -> None:
        """What several cells of a row have to agree on."""
        nothing = self.nothing
        if "number" in values:
            numbers, brands = values["number"], values["brand"]
            if nothing in brands and any(
                brand == nothing != number for brand, number in zip(brands, numbers, strict=True)
            ):
                raise WrongTogether("brand", "names no brand", "give the brand of the part number")
            self.by_own_number = self.by_own_number or nothing in numbers
            if nothing in numbers and any(
                number == nothing and not own
                for number, own in zip(numbers, values.get("supplier_normalised", ("",) * count), strict=True)
            ):
                raise WrongTogether("number", "names no part", "give the part number")
        elif not all(values["supplier_normalised"]):
            raise WrongTogether("supplier_number", "names no part", "give the supplier's own number")
        if "valid_until" in values:
            first = values.get("valid_from", (self.first_day,) * count)
            for start, end in zip(first, values["valid_until"], strict=True):
                if end != nothing and end < start:
                    what = f"ends on {end}, before it starts on {start}"
                    raise WrongTogether("valid_until", what, "correct one of the two days")

    def _breaks(self, number: str, row: Record, single: str, found: list[tuple[str, str, str]]) -> str:
        """The row's price breaks as one text to compare by, "10:4.5000,50:4.2000", and each on its own."""
        steps: dict[int, str] = {}
        for each in self.layout.breaks:
            price = self.break_price(row[each.price])
            quantity = each.fixed if each.quantity is None else self.break_quantity(row[each.quantity])
            if each.quantity is None and price == self.nothing:
                continue
            if quantity is None and price == self.nothing:
                continue
            if quantity is None or price == self.nothing:
                raise Wrong("a price break needs its quantity and its price", "give both or neither")
            if quantity in steps:
                raise Wrong(f"two price breaks start at {quantity}", "keep one of them")
            steps[quantity] = price
        found.extend((number, str(quantity), price) for quantity, price in steps.items())
        if dearer(int(single), [(quantity, int(price)) for quantity, price in steps.items()]):
            self.dearer_rows[number] = None
        return ",".join(f"{quantity}:{_four_places(steps[quantity])}" for quantity in sorted(steps))

    def _row_is_good(self, number: int, row: Record, faults: FileFaults) -> bool:
        """Tells every fault of the row. An empty row is no fault, and none to keep."""
        if not any(cell != "" for cell in row):
            return False
        if len(row) != self.layout.width:
            what = f"the row has {len(row)} cells, the header has {self.layout.width}"
            faults.add(number, "", what, "put a text that holds the delimiter into quotes; keep empty cells")
            return False
        good = True
        for name, read in self.readers.items():
            place = self.layout.at[name]
            try:
                read(row[place])
            except Wrong as wrong:
                faults.add(number, self.layout.headers[place], wrong.what, wrong.right)
                good = False
        if good:
            try:
                self._convert(Chunk([number], 0, [row]))
            except Wrong as wrong:
                faults.add(number, self._culprit(row, wrong), wrong.what, wrong.right)
                good = False
        return good

    def _culprit(self, row: Record, wrong: Wrong) -> str:
        """The header of the cell that is at fault."""
        if isinstance(wrong, WrongTogether):
            place = self.layout.at.get(wrong.name)
            return "" if place is None else self.layout.headers[place]
        for each in self.layout.breaks:
            for place, read in ((each.price, self.break_price), (each.quantity, self.break_quantity)):
                try:
                    if place is not None:
                        read(row[place])
                except Wrong:
                    return self.layout.headers[place or 0]
        return self.layout.headers[self.layout.breaks[0].price] if self.layout.breaks else ""


def _four_places(ten_thousandths: str) -> str:
    padded = ten_thousandths.zfill(5)
    return f"{padded[:-4]}.{padded[-4:]}"
