"""Who takes more pays no more for a piece: from break to break the price never rises.

A price in the wrong row, or a decimal point in the wrong place, is common; a supplier who asks more for the
larger quantity is not (common practice, no source). What the pack says is looked at together with the breaks
that the database holds: a new price that leaves an old break dearer than a single piece is told as well.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from catalog.models import PriceBreak
from catalog.packs.book import Book, keyed
from catalog.packs.faults import Faults
from catalog.packs.held import MOST_VALUES
from catalog.packs.pack import Key, Row, Table
from catalog.packs.written import number_text


@dataclass(frozen=True, slots=True)
class Step:
    """`row` and `table` say where the pack gives it; None for one of the database."""

    quantity: int
    price: Decimal
    table: Table | None
    row: Row | None


def check_prices(table: Table, book: Book, faults: Faults) -> None:
    """Once for both tables, at the last of them that the pack has."""
    tables = book.pack.tables
    if table.resource.name != ("price_breaks" if "price_breaks" in tables else "offers"):
        return
    breaks = _given_breaks(book)
    _add_held(breaks, book)
    for offer, steps in breaks.items():
        base = _base(offer, book)
        if base is None:
            continue  # told at the reference
        for before, after in pairwise([base, *sorted(steps, key=lambda step: step.quantity)]):
            if after.price > before.price:
                _tell(before, after, faults)


def _given_breaks(book: Book) -> dict[Key, list[Step]]:
    found: dict[Key, list[Step]] = defaultdict(list)
    table = book.pack.tables.get("price_breaks")
    for key, row in keyed(table) if table else ():
        if not row.bad:
            quantity, price = row.values["quantity_from"], row.values["price"]
            assert isinstance(quantity, int)
            assert isinstance(price, Decimal)
            found[key[:-1]].append(Step(quantity, price, table, row))
    return found


def _add_held(breaks: dict[Key, list[Step]], book: Book) -> None:
    """The breaks of the database that stay, of every offer whose price or breaks the pack gives."""
    held = book.held["offers"]
    asked = {held[key].pk: key for key in breaks if key in held}
    for key, row in book.given.get("offers", {}).items():
        if key in held and held[key].values["price"] != row.values["price"]:
            asked[held[key].pk] = key
    given = {(offer, step.quantity) for offer, steps in breaks.items() for step in steps}
    for pk, quantity, price in _held_breaks(sorted(asked)):
        if (asked[pk], quantity) not in given:
            # As it would be written: the database fills up with zeros.
            breaks[asked[pk]].append(Step(quantity, Decimal(number_text(price, 0)), None, None))


def _held_breaks(offers: list[int]) -> Iterator[tuple[int, int, Decimal]]:
    for start in range(0, len(offers), MOST_VALUES):
        some = PriceBreak.objects.filter(offer__in=offers[start : start + MOST_VALUES]).order_by()
        yield from some.values_list("offer_id", "quantity_from", "price").iterator()


def _base(offer: Key, book: Book) -> Step | None:
    values = book.get("offers", offer)
    if values is None or not isinstance(values["price"], Decimal):
        return None
    row = book.given.get("offers", {}).get(offer)
    return Step(1, values["price"], book.pack.tables["offers"] if row else None, row)


def _tell(before: Step, after: Step, faults: Faults) -> None:
    if after.table is not None and after.row is not None:
        what = (
            f"{after.price} from {after.quantity} pieces is dearer than {before.price} from {before.quantity}"
        )
        right = f"give {before.price} or less, or correct the price for fewer pieces"
        faults.of_row(after.table.resource, after.table.file, after.row.number, "price", what, right)
    elif before.table is not None and before.row is not None:
        what = f"{before.price} is less than {after.price} from {after.quantity} pieces, in the database"
        right = f"give {after.price} or more, or bring the new price breaks too, in price_breaks.csv"
        faults.of_row(before.table.resource, before.table.file, before.row.number, "price", what, right)
