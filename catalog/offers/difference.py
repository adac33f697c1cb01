"""What a price file changes, told before anything is written: new, changed, gone, unchanged, held."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.offers.staging import CHANGES, GONE, RESOLVED, fetched
from catalog.rules.pricejump import Move
from shop.rules.currency import format_money

KINDS = ("held", "changed", "new", "gone")
SHOWN = 20


@dataclass(frozen=True, slots=True)
class Line:
    """One part in the difference report. `row` is that of the file; amounts in the supplier's currency."""

    kind: str
    brand: str
    number: str
    supplier_number: str
    row: int | None
    old: Decimal | None
    new: Decimal | None
    valid_from: date | None

    @property
    def move(self) -> Move | None:
        return None if self.old is None or self.new is None else Move(self.old, self.new)

    @property
    def amount(self) -> Decimal | None:
        return self.move.amount if self.move else None

    @property
    def percent(self) -> Decimal | None:
        return self.move.percent if self.move else None

    @property
    def label(self) -> str:
        return f"{self.brand} {self.number}"

    @property
    def only_terms(self) -> bool:
        """The price is the same; pack, deposit, lead time, breaks or days are not."""
        return self.kind == "changed" and self.old == self.new


@dataclass
class Difference:
    """The report of one file. `lines` are the first of each kind, by size of change; `counts` are of all."""

    supplier: str
    supplier_name: str
    currency: str
    file: str
    valid_from: date
    complete: bool
    hold_percent: Decimal
    dry_run: bool
    counts: dict[str, int] = field(default_factory=dict)
    lines: dict[str, tuple[Line, ...]] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    taken_before: str = ""

    def count(self, kind: str) -> int:
        return self.counts.get(kind, 0)

    @property
    def writes(self) -> int:
        return sum(self.count(kind) for kind in ("new", "changed", "held", "ended"))

    def money(self, amount: Decimal | None) -> str:
        return "" if amount is None else format_money(amount, self.currency)


def first_lines(first_file: bool, most: int = SHOWN) -> dict[str, tuple[Line, ...]]:
    return {kind: tuple(_lines(kind, first_file, f" LIMIT {int(most)}")) for kind in KINDS}


def all_lines(first_file: bool) -> Iterator[Line]:
    """Every line of the report, one after the other; to be read while the staging is open."""
    for kind in KINDS:
        yield from _lines(kind, first_file, "")


def _lines(kind: str, first_file: bool, limit: str) -> Iterator[Line]:
    if first_file and kind != "new":
        return
    source = _first_file() if first_file else GONE_ROWS if kind == "gone" else _changes(kind)
    # The limit goes inside: the names of a million parts are not looked up to show twenty.
    statement = (
        "SELECT b.name, p.number, c.own, c.row, c.old, c.now, c.day"
        f" FROM ({source}{limit}) c JOIN catalog_part p ON p.id = c.part_id"
        " JOIN catalog_brand b ON b.id = p.brand_id ORDER BY c.place"
    )
    for brand, number, own, row, old, new, day in fetched(statement):
        yield Line(kind, brand, number, own or "", row, _amount(old), _amount(new), _day(day))


def _first_file() -> str:
    return (
        "SELECT part_id, '' AS own, row, NULL AS old, price AS now, NULL AS day, row AS place"
        f" FROM {RESOLVED} WHERE part_id IS NOT NULL ORDER BY row"
    )


GONE_ROWS = (
    "SELECT part_id, supplier_number AS own, NULL AS row, price AS old, NULL AS now, valid_from AS day,"
    f" ROW_NUMBER() OVER (ORDER BY price DESC, part_id) AS place FROM {GONE} ORDER BY place"
)


def _changes(kind: str) -> str:
    what = "what IN ('new', 'again')" if kind == "new" else f"what = '{kind}'"
    # The share of the old price in hundredths of a percent, for sorting alone; from nothing comes first.
    share = (
        "CASE WHEN old_price = 0 THEN 9223372036854775807 ELSE ABS(price - old_price) * 10000 / old_price END"
    )
    order = "row" if kind == "new" else f"{share} DESC, ABS(price - old_price) DESC, row"
    return (
        "SELECT part_id, supplier_number AS own, row, old_price AS old, price AS now, valid_from AS day,"
        f" ROW_NUMBER() OVER (ORDER BY {order}) AS place FROM {CHANGES} WHERE {what} ORDER BY place"
    )


def _amount(ten_thousandths: Any) -> Decimal | None:
    return None if ten_thousandths is None else Decimal(ten_thousandths).scaleb(-4)


def _day(value: Any) -> date | None:
    return date.fromisoformat(value) if isinstance(value, str) else value
