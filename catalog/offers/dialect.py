"""What the two databases say differently about the rows of a price file.

Amounts travel as whole ten-thousandths. SQLite keeps a decimal column as a binary number; dividing a whole
number by 10,000 gives the very same one that writing the decimal down gives, since both are the nearest.
"""

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import Any

from django.db import connection


@dataclass(frozen=True)
class Dialect:
    """`nothing` is what the loader takes for an empty cell; `before` and `after` surround a file's work;
    `known` makes a filled table known to the planner; `differ` compares two values of which one may be empty.
    """

    nothing: Any
    before: tuple[str, ...]
    after: tuple[str, ...]
    known: tuple[str, ...]
    differ: str
    wants_indexes: bool

    def ten_thousandths(self, column: str) -> str:
        raise NotImplementedError

    def amount(self, column: str) -> str:
        raise NotImplementedError

    def as_date(self, value: str) -> str:
        """A quoted day, or NULL, as a value of the type of a date column."""
        raise NotImplementedError

    def wide(self, number: int) -> str:
        """A factor whose product with an amount may be larger than a column's whole number."""
        raise NotImplementedError

    def breaks(self, where: str) -> str:
        """A select of (offer_id, breaks): each offer's price breaks as the text that rows are compared by."""
        raise NotImplementedError

    def packed(self, columns: Sequence[str], values: Sequence[Sequence[Any]]) -> Any:
        """Rows, given column by column, as the loader takes them."""
        raise NotImplementedError

    def load(self, table: str, columns: Sequence[str], packs: Sequence[Any]) -> None:
        """Add what was packed for these columns."""
        raise NotImplementedError


@dataclass(frozen=True)
class PostgreSQL(Dialect):
    def ten_thousandths(self, column: str) -> str:
        return f"({column} * 10000)::bigint"

    def amount(self, column: str) -> str:
        return f"({column} * 0.0001)"

    def as_date(self, value: str) -> str:
        return f"CAST({value} AS date)"

    def wide(self, number: int) -> str:
        return f"{number}::numeric"

    def breaks(self, where: str) -> str:
        return (
            "SELECT b.offer_id, string_agg(b.quantity_from || ':' || b.price::numeric(14, 4), ','"
            " ORDER BY b.quantity_from) AS breaks"
            f" FROM catalog_pricebreak b JOIN catalog_offer o ON o.id = b.offer_id WHERE {where}"
            " GROUP BY b.offer_id"
        )

    def packed(self, columns: Sequence[str], values: Sequence[Sequence[Any]]) -> bytes:
        if "supplier_number" in columns:  # the only text as it was typed: its backslashes are doubled
            place = columns.index("supplier_number")
            if "\\" in "".join(values[place]):
                values = list(values)
                values[place] = [text.replace("\\", "\\\\") for text in values[place]]
        lines = "\n".join(map("\t".join, zip(*values, strict=True)))
        return f"{lines}\n".encode()

    def load(self, table: str, columns: Sequence[str], packs: Sequence[bytes]) -> None:
        into = f"COPY {table} ({', '.join(columns)}) FROM STDIN"
        with connection.cursor() as cursor, cursor.copy(into) as copy:
            for pack in packs:
                copy.write(pack)


@dataclass(frozen=True)
class SQLite(Dialect):
    def ten_thousandths(self, column: str) -> str:
        return f"CAST(ROUND({column} * 10000) AS INTEGER)"

    def amount(self, column: str) -> str:
        return f"({column} / 10000.0)"

    def as_date(self, value: str) -> str:
        return value

    def wide(self, number: int) -> str:
        return str(number)

    def breaks(self, where: str) -> str:
        return (
            "SELECT offer_id, group_concat(step) AS breaks FROM ("
            "SELECT b.offer_id, b.quantity_from || ':' || printf('%.4f', b.price) AS step"
            f" FROM catalog_pricebreak b JOIN catalog_offer o ON o.id = b.offer_id WHERE {where}"
            " ORDER BY b.offer_id, b.quantity_from) GROUP BY offer_id"
        )

    def packed(self, columns: Sequence[str], values: Sequence[Sequence[Any]]) -> Any:
        return zip(*values, strict=True)

    def load(self, table: str, columns: Sequence[str], packs: Sequence[Any]) -> None:
        places = ", ".join("?" * len(columns))
        connection.ensure_connection()
        # The driver's own cursor: Django's would look through every row first.
        with closing(connection.connection.cursor()) as cursor:
            for rows in packs:
                cursor.executemany(f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places})", rows)


def dialect() -> Dialect:
    if connection.vendor == "postgresql":
        return PostgreSQL(
            nothing=r"\N",
            before=("SET work_mem = '64MB'", "SET maintenance_work_mem = '64MB'"),
            after=("RESET work_mem", "RESET maintenance_work_mem"),
            known=("ANALYZE {table}",),
            differ="IS DISTINCT FROM",
            wants_indexes=False,
        )
    return SQLite(
        nothing=None,
        before=("PRAGMA temp.cache_size = -32000",),
        after=(),
        known=(),
        differ="IS NOT",
        wants_indexes=True,
    )
