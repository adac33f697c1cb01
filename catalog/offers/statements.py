"""The statements that compare a staged price file with what its supplier offers, and that write what differs.

The standing offer of a row is the supplier's newest offer of the part that starts no later than the row does.
What the file says nothing of (no such column, or an empty cell) is taken from the standing offer; price
breaks only as long as the price is the same. Everything is decided over whole tables, nothing row by row.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.offers.dialect import Dialect
from catalog.offers.staging import BREAKS, CHANGES, GONE, RESOLVED, ROWS

TERMS = (
    "supplier_number",
    "supplier_normalised",
    "price",
    "pack",
    "minimum_quantity",
    "deposit",
    "lead_days",
)
WRITTEN = (*TERMS, "valid_from", "valid_until")
DEFAULTS = {
    "supplier_number": "''", "supplier_normalised": "''", "pack": "1", "minimum_quantity": "1",
    "deposit": "0", "lead_days": "0",
}  # fmt: skip
AMOUNTS = ("price", "deposit")


@dataclass(frozen=True)
class Statements:
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
        return _quoted(self.first_day)

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

    # Writing

    def upsert(self, source: str, where: str) -> str:
        """One statement for all rows to write, from the changes or from the resolved rows of a first file."""
        d = self.dialect
        first = source == RESOLVED
        values = []
        for name in WRITTEN:
            value = f"r.{name}"
            if first:
                value = self._filled(name) if name in TERMS else self.own(name)
                value = (
                    f"COALESCE({value}, {DEFAULTS[name]})"
                    if name in DEFAULTS and name in self.given
                    else value
                )
                value = DEFAULTS.get(name, value) if name not in self.given else value
            values.append(
                d.amount(value) if name in AMOUNTS else d.as_date(value) if value == "NULL" else value
            )
        settled = ", ".join(f"{name} = excluded.{name}" for name in WRITTEN if name != "valid_from")
        return (
            f"INSERT INTO catalog_offer (supplier_id, part_id, {', '.join(WRITTEN)})"
            f" SELECT {self.supplier}, r.part_id, {', '.join(values)} FROM {source} r WHERE {where}"
            # The source was made in the order of the key; saying so again would sort it again.
            f" ON CONFLICT (supplier_id, part_id, valid_from) DO UPDATE SET {settled}"
        )

    def drop_breaks(self) -> str:
        """Of offers that are corrected in place and whose breaks are not what they were."""
        return (
            f"DELETE FROM catalog_pricebreak WHERE offer_id IN (SELECT old_id FROM {CHANGES}"
            " WHERE what IN ('changed', 'again') AND old_from = valid_from AND breaks <> old_breaks)"
        )

    def add_breaks(self, source: str) -> str:
        """The breaks that the file states."""
        where = "c.what IN ('new', 'changed', 'again') AND (c.old_from IS NULL OR c.old_from <> c.valid_from OR c.breaks <> c.old_breaks)"  # noqa: E501
        start = "c.valid_from" if source == CHANGES or "valid_from" in self.given else self.day
        return (
            "INSERT INTO catalog_pricebreak (offer_id, quantity_from, price)"
            f" SELECT o.id, b.quantity_from, {self.dialect.amount('b.price')} FROM {BREAKS} b"
            f" JOIN {source} c ON c.row = b.row JOIN catalog_offer o ON o.supplier_id = {self.supplier}"
            f" AND o.part_id = c.part_id AND o.valid_from = {start}"
            f" WHERE {where if source == CHANGES else 'c.part_id IS NOT NULL'} ORDER BY o.id, b.quantity_from"
        )

    def carry_breaks(self) -> str:
        """Breaks of a standing offer whose price stays, for the new offer that takes its place."""
        return (
            "INSERT INTO catalog_pricebreak (offer_id, quantity_from, price)"
            f" SELECT o.id, b.quantity_from, b.price FROM {CHANGES} c"
            f" JOIN catalog_offer o ON o.supplier_id = {self.supplier} AND o.part_id = c.part_id"
            " AND o.valid_from = c.valid_from JOIN catalog_pricebreak b ON b.offer_id = c.old_id"
            " WHERE c.what IN ('changed', 'again') AND c.old_from <> c.valid_from AND c.breaks <> ''"
            " ORDER BY o.id, b.quantity_from"
        )

    def hold(self, price_file: int) -> str:
        names = (
            *(name for name in TERMS if name != "supplier_normalised"),
            "valid_from",
            "valid_until",
            "breaks",
        )
        values = [self.dialect.amount(f"c.{name}") if name in AMOUNTS else f"c.{name}" for name in names]
        return (
            "INSERT INTO catalog_heldprice (price_file_id, part_id, row, old_price, state,"
            f" {', '.join(names)})"
            f" SELECT {int(price_file)}, c.part_id, c.row, {self.dialect.amount('c.old_price')}, 'waiting',"
            f" {', '.join(values)} FROM {CHANGES} c WHERE c.what = 'held' ORDER BY c.row"
        )

    def end_gone(self, last_day: date) -> str:
        return (
            f"UPDATE catalog_offer SET valid_until = {_quoted(last_day)} WHERE supplier_id = {self.supplier}"
            f" AND valid_from < {self.day} AND (valid_until IS NULL OR valid_until >= {self.day})"
            f" AND part_id IN (SELECT part_id FROM {GONE})"
        )

    def withdraw_gone(self, what: str) -> str:
        """Offers that start on the file's own first day: an earlier file of that day was wrong about them."""
        offers = (
            f"SELECT id FROM catalog_offer WHERE supplier_id = {self.supplier} AND valid_from = {self.day}"
            f" AND part_id IN (SELECT part_id FROM {GONE})"
        )
        column = "offer_id" if what == "catalog_pricebreak" else "id"
        return f"DELETE FROM {what} WHERE {column} IN ({offers})"


def _quoted(day: date) -> str:
    return f"'{day.isoformat()}'"
