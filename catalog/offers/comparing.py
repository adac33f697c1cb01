"""The statements that compare a staged price file with what its supplier offers.

The standing offer of a row is the supplier's newest offer of the part that starts no later than the row does.
What the file says nothing of (no such column, or an empty cell) is taken from the standing offer; price
breaks only as long as the price is the same. Everything is decided over whole tables, nothing row by row.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.offers.dialect import Dialect
from catalog.offers.staging import RESOLVED, ROWS

TERMS = (
    "supplier_number",
    "supplier_normalised",
    "price",
    "pack",
    "minimum_quantity",
    "deposit",
    "lead_days",
)
DEFAULTS = {
    "supplier_number": "''", "supplier_normalised": "''", "pack": "1", "minimum_quantity": "1",
    "deposit": "0", "lead_days": "0",
}  # fmt: skip


@dataclass(frozen=True)
class Comparing:
    """For one file of one supplier. `given` are the staged columns.

    `held_breaks`: the supplier has price breaks on record; `by_own_number`: some row names its part by
    nothing but the supplier's own number.
    """

    dialect: Dialect
    supplier: int
    given: Collection[str]
    first_day: date
    hold_percent: Decimal
    held_breaks: bool = False
    by_own_number: bool = False

    @property
    def day(self) -> str:
        return quoted(self.first_day)

    def own(self, name: str) -> str:
        """The value in the row, empty where the file has no such column."""
        if name == "valid_from":
            return "r.valid_from" if name in self.given else self.dialect.as_date(self.day)
        return f"r.{name}" if name in self.given else "NULL"

    def resolved(self) -> str:
        """Every staged row with its part, in the order in which they are written."""
        by_number, by_own = "number" in self.given, self.by_own_number
        joins, part = "", "NULL"
        if by_number:
            joins += " LEFT JOIN catalog_part p ON p.brand_id = s.brand AND p.normalised = s.number"
            part = "p.id"
        if by_own:
            # Only where the row has no part number: a number that is there and unknown is a fault.
            only = " AND s.number IS NULL" if by_number else ""
            joins += f" LEFT JOIN ({self.known_by_own_number()}) k ON k.known = s.supplier_normalised{only}"
            part = f"COALESCE({part}, k.part_id)" if by_number else "k.part_id"
        part = f"CAST({part} AS bigint)"  # SQLite finds nothing by an index on a column without a type
        nth = "1"
        if "valid_from" in self.given:
            nth = f"ROW_NUMBER() OVER (PARTITION BY {part} ORDER BY s.valid_from)"
        order = "1, s.valid_from" if "valid_from" in self.given else "1"
        kept = ", ".join(f"s.{name}" for name in ("row", *self.given) if name not in ("brand", "number"))
        return f"SELECT {part} AS part_id, {nth} AS nth, {kept} FROM {ROWS} s{joins} ORDER BY {order}"

    def known_by_own_number(self) -> str:
        """The supplier's own numbers that stand for one part alone."""
        return (
            "SELECT supplier_normalised AS known, MIN(part_id) AS part_id FROM catalog_offer"
            f" WHERE supplier_id = {self.supplier} AND supplier_normalised <> ''"
            " GROUP BY supplier_normalised HAVING COUNT(DISTINCT part_id) = 1"
        )

    def unknown(self) -> str:
        number = "s.number" if "number" in self.given else "NULL"
        own = "s.supplier_number" if "supplier_number" in self.given else "NULL"
        brand = "s.brand" if "number" in self.given else "NULL"
        return (
            f"SELECT s.row, {brand}, {number}, {own} FROM {RESOLVED} r JOIN {ROWS} s ON s.row = r.row"
            " WHERE r.part_id IS NULL ORDER BY s.row"
        )

    def twice(self) -> str:
        """The later rows of a part and day that stand in the file more than once, with the first of them."""
        days = ", valid_from" if "valid_from" in self.given else ""
        same = " AND r.valid_from = d.valid_from" if days else ""
        return (
            f"SELECT r.row, d.first FROM {RESOLVED} r JOIN (SELECT part_id{days}, MIN(row) AS first"
            f" FROM {RESOLVED} WHERE part_id IS NOT NULL GROUP BY part_id{days} HAVING COUNT(*) > 1) d"
            f" ON r.part_id = d.part_id{same} WHERE r.row > d.first ORDER BY r.row"
        )

    def changes(self) -> str:
        """What is not the same as before, each row with what it is and what it will be; unknown parts not."""
        d = self.dialect
        old_price, old_deposit = d.ten_thousandths("o.price"), d.ten_thousandths("o.deposit")
        old = {"price": old_price, "deposit": old_deposit}
        now = {
            name: f"COALESCE({self._filled(name)}, {old.get(name, f'o.{name}')}, {DEFAULTS[name]})"
            if name in DEFAULTS
            else f"r.{name}"
            for name in TERMS
        }
        until = self.own("valid_until")
        if "valid_until" not in self.given:
            until = f"CASE WHEN o.valid_from = {self.own('valid_from')} THEN o.valid_until END"
        old_breaks = "COALESCE(ob.breaks, '')" if self.held_breaks else "''"
        breaks = (
            "COALESCE(r.breaks, '')"
            if "breaks" in self.given
            else f"CASE WHEN r.price = {old_price} THEN {old_breaks} ELSE '' END"
        )
        standing = (
            f"(SELECT x.id FROM catalog_offer x WHERE x.supplier_id = {self.supplier}"
            " AND x.part_id = r.part_id"
            f" AND x.valid_from <= {self.own('valid_from')} ORDER BY x.valid_from DESC LIMIT 1)"
        )
        joined = f" LEFT JOIN catalog_offer o ON o.id = {standing}"
        if self.held_breaks:
            joined += f" LEFT JOIN ({d.breaks(f'o.supplier_id = {self.supplier}')}) ob ON ob.offer_id = o.id"
        terms = ", ".join(f"{value} AS {name}" for name, value in now.items())
        inner = (
            f"SELECT r.part_id, r.row, r.nth, {terms},"
            f" {self.own('valid_from')} AS valid_from, {until} AS valid_until, {breaks} AS breaks,"
            f" o.id AS old_id, {old_price} AS old_price, o.valid_from AS old_from,"
            " o.valid_until AS old_until,"
            f" {old_breaks} AS old_breaks, {self._terms_differ(now, old)} AS terms_differ"
            f" FROM {RESOLVED} r{joined} WHERE r.part_id IS NOT NULL"
        )
        return (
            f"SELECT * FROM (SELECT x.*, {self._what()} AS what FROM ({inner}) x) y"
            " WHERE what <> 'unchanged' ORDER BY part_id, valid_from"
        )

    def _filled(self, name: str) -> str:
        if name not in self.given:
            return "NULL"
        return f"NULLIF(r.{name}, '')" if name.startswith("supplier_") else f"r.{name}"

    def _terms_differ(self, now: dict[str, str], old: dict[str, str]) -> str:
        differing = [
            f"{now[name]} <> {old.get(name, f'o.{name}')}"
            for name in TERMS
            if name in self.given and name not in ("price", "supplier_normalised")
        ]
        if "valid_until" in self.given:
            differing.append(f"r.valid_until {self.dialect.differ} o.valid_until")
        return f"CASE WHEN {' OR '.join(differing)} THEN 1 ELSE 0 END" if differing else "0"

    def _what(self) -> str:
        tenths = int(self.hold_percent * 10)
        held = (
            "price <> old_price AND (old_price = 0"
            f" OR ABS(price - old_price) * 1000 > {self.dialect.wide(tenths)} * old_price)"
        )
        # A second row of the same part in one file follows on the first, not on what is on record.
        goes_on = "(old_until IS NULL OR old_until >= valid_from) AND (nth = 1 OR old_from = valid_from)"
        same = "price = old_price AND terms_differ = 0 AND breaks = old_breaks"
        return (
            f"CASE WHEN old_id IS NULL THEN 'new' WHEN {held} THEN 'held' WHEN {same} AND {goes_on}"
            " THEN 'unchanged' WHEN old_until < valid_from THEN 'again' ELSE 'changed' END"
        )

    def gone(self) -> str:
        """The supplier's newest offer, valid on the first day, of every part that the file does not name."""
        return (
            "SELECT g.id, g.part_id, g.supplier_number, g.price AS amount,"
            f" {self.dialect.ten_thousandths('g.price')} AS price, g.valid_from"
            f" FROM catalog_offer g WHERE g.supplier_id = {self.supplier} AND {self._valid('g')}"
            " AND NOT EXISTS (SELECT 1 FROM catalog_offer n WHERE n.supplier_id = g.supplier_id"
            f" AND n.part_id = g.part_id AND n.valid_from > g.valid_from AND {self._valid('n')})"
            f" AND {self._not_in_file('g')}"
        )

    def _valid(self, alias: str) -> str:
        return (
            f"{alias}.valid_from <= {self.day}"
            f" AND ({alias}.valid_until IS NULL OR {alias}.valid_until >= {self.day})"
        )

    def _not_in_file(self, alias: str) -> str:
        return f"NOT EXISTS (SELECT 1 FROM {RESOLVED} r WHERE r.part_id = {alias}.part_id)"


def quoted(day: date) -> str:
    return f"'{day.isoformat()}'"
