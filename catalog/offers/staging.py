"""The rows of a price file on their way into the database: temporary tables of this connection.

PostgreSQL takes them by COPY, SQLite by executemany. The tables are seen by nobody else and nothing of them
is kept. Filling them holds no lock that anybody else waits for; only the writing at the end does.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.db import DatabaseError, connection

from catalog.offers.dialect import Dialect, dialect
from catalog.offers.rows import Staged
from shop.collecting import collecting_paused

ROWS, BREAKS, RESOLVED, CHANGES, GONE = (
    f"offer_file_{name}" for name in ("rows", "breaks", "resolved", "changes", "gone")
)
TABLES = (ROWS, BREAKS, RESOLVED, CHANGES, GONE)
BREAK_COLUMNS = ("row", "quantity_from", "price")
PACKS_AT_ONCE = 20
TYPES = {
    "row": "integer",
    "brand": "bigint",
    "number": "varchar(60)",
    "supplier_number": "varchar(60)",
    "supplier_normalised": "varchar(60)",
    "price": "bigint",
    "pack": "integer",
    "minimum_quantity": "integer",
    "deposit": "bigint",
    "lead_days": "integer",
    "valid_from": "date",
    "valid_until": "date",
    "breaks": "text",
}


class Staging:
    """Use it as a context: the temporary tables are there within, and gone afterwards."""

    def __init__(self, columns: Sequence[str]) -> None:
        self.columns = tuple(columns)
        self.dialect: Dialect = dialect()
        self.any_breaks = False
        self.waiting: list[Any] = []
        self.waiting_breaks: list[Any] = []

    def __enter__(self) -> "Staging":
        self.drop()
        kinds = ", ".join(f"{name} {TYPES[name]}" for name in self.columns)
        with connection.cursor() as cursor:
            for statement in self.dialect.before:
                cursor.execute(statement)
            cursor.execute(f"CREATE TEMPORARY TABLE {ROWS} ({kinds})")
            cursor.execute(
                f"CREATE TEMPORARY TABLE {BREAKS} (row integer, quantity_from bigint, price bigint)"
            )
        return self

    def __exit__(self, kind: Any, error: Any, trace: Any) -> None:
        try:
            self.drop()
            with connection.cursor() as cursor:
                for statement in self.dialect.after:
                    cursor.execute(statement)
        except DatabaseError:
            # The connection is lost or its transaction broken: then the tables are gone with it.
            if error is None:
                raise

    def drop(self) -> None:
        with connection.cursor() as cursor:
            for name in TABLES:
                cursor.execute(f"DROP TABLE IF EXISTS {name}")

    @contextmanager
    def filling(self) -> Iterator["Staging"]:
        """One transaction for many additions, where none is open; it touches the temporary tables alone."""
        with collecting_paused():
            if connection.vendor != "sqlite" or connection.in_atomic_block:
                yield self
                return
            with self._deferred():
                yield self

    @contextmanager
    def _deferred(self) -> Iterator[None]:
        with connection.cursor() as cursor:
            # Not the immediate kind that Django begins: nobody who writes shall wait for a file being read.
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            except BaseException:
                cursor.execute("ROLLBACK")
                raise
            cursor.execute("COMMIT")

    def add(self, staged: Staged) -> None:
        if staged.columns:
            self.waiting.append(self.dialect.packed(self.columns, staged.columns))
        if staged.breaks:
            self.any_breaks = True
            across = list(zip(*staged.breaks, strict=True))
            self.waiting_breaks.append(self.dialect.packed(BREAK_COLUMNS, across))
        if len(self.waiting) >= PACKS_AT_ONCE:
            self.flush()

    def flush(self) -> None:
        """Hand on what was added so far."""
        if self.waiting:
            self.dialect.load(ROWS, self.columns, self.waiting)
        if self.waiting_breaks:
            self.dialect.load(BREAKS, BREAK_COLUMNS, self.waiting_breaks)
        self.waiting.clear()
        self.waiting_breaks.clear()

    def make(self, name: str, select: str, index: str = "") -> None:
        """A temporary table of what the statement finds; the index where the database makes use of it."""
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TABLE IF EXISTS {name}")
            cursor.execute(f"CREATE TEMPORARY TABLE {name} AS {select}")
            if index and self.dialect.wants_indexes:
                cursor.execute(f"CREATE INDEX {name}_by ON {name} ({index})")
            for statement in self.dialect.known:
                cursor.execute(statement.format(table=name))


def run(statement: str) -> int:
    """Carry it out; how many rows it touched."""
    with connection.cursor() as cursor:
        cursor.execute(statement)
        return int(cursor.rowcount)


def fetched(statement: str) -> Iterator[tuple[Any, ...]]:
    """Its rows, a few at a time: there may be a million."""
    with connection.cursor() as cursor:
        cursor.execute(statement)
        while rows := cursor.fetchmany(2000):
            yield from rows


def one(statement: str) -> Any:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        row = cursor.fetchone()
    return row[0] if row else None
