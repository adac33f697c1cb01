"""The statements that write what a price file changes: each of them for all its rows at once."""

from dataclasses import dataclass
from datetime import date

from catalog.offers.comparing import DEFAULTS, TERMS, Comparing, quoted
from catalog.offers.staging import BREAKS, CHANGES, GONE, RESOLVED

WRITTEN = (*TERMS, "valid_from", "valid_until")
AMOUNTS = ("price", "deposit")


@dataclass(frozen=True)
class Statements(Comparing):
    """Comparing one file and writing it."""

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
            f"UPDATE catalog_offer SET valid_until = {quoted(last_day)} WHERE supplier_id = {self.supplier}"
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
