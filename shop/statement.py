"""A statement written once, in the words of each database, and run again and again with other values.

Lists are the one thing the two databases take differently: PostgreSQL takes arrays, SQLite a JSON text. So a
statement's text never depends on how long a list is, and a server can keep it prepared.

PostgreSQL answers with days and exact amounts. SQLite has neither; what it answers instead is turned into
them here, where a row is used and not where it is read: most rows of a long answer only lose a comparison.
"""

import json
from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import connections

from shop.replicas import reading

# How each database says "is one of these". The sign before a day keeps Django from reading it row by row.
WORDS: Mapping[str, Mapping[str, str]] = {
    "postgresql": {"numbers": "= ANY(%s::bigint[])", "texts": "= ANY(%s::text[])", "plain": ""},
    "sqlite": {
        "numbers": "IN (SELECT value FROM json_each(%s))",
        "texts": "IN (SELECT value FROM json_each(%s))",
        "plain": "+",
    },
}
Row = tuple[Any, ...]


def amount(value: Any) -> Any:
    """An amount of at most ten figures before and four after the point: as PostgreSQL gives it, or as SQLite
    does, which keeps it as the nearest floating number. Four places bring that back to what was written."""
    return value if value is None or isinstance(value, Decimal) else Decimal(f"{value:.4f}")


def day(value: Any) -> Any:
    return date.fromisoformat(value) if isinstance(value, str) else value


def truth(value: Any) -> Any:
    return value if value is None else bool(value)


class Together(list[tuple[Any, ...]]):
    """Values that belong together, at least one row of them: on SQLite one text of rows, on PostgreSQL an
    array for each column."""


class Statement:
    """`sql` has %s for each value and the words of WORDS in braces. `amounts`, `days` and `truths` name
    columns of the answer by index; days and truths are written with {plain} before them. `words` are more
    words by database."""

    def __init__(
        self,
        sql: str,
        words: Mapping[str, Mapping[str, str]] | None = None,
        *,
        amounts: Collection[int] = (),
        days: Collection[int] = (),
        truths: Collection[int] = (),
    ) -> None:
        own = words or {}
        self._sql = {vendor: sql.format(**said, **own.get(vendor, {})) for vendor, said in WORDS.items()}
        self._own = {**self._sql, "sqlite": self._sql["sqlite"].replace("%s", "?")}
        self._read = [
            (at, read)
            for read, columns in ((amount, amounts), (day, days), (truth, truths))
            for at in columns
        ]

    def rows(self, *values: Any) -> list[Row]:
        """The answer of the database that the catalogue is read from here and now. A list, tuple or set among
        the values stands for all that is in it."""
        return [self.exact(row) for row in self.raw(*values)]

    def raw(self, *values: Any, using: str = "") -> list[Row]:
        """As `rows`, with days, amounts and truths as the database gives them; see `exact`. `using` names a
        database to ask instead."""
        connection = connections[using or reading()]
        vendor = connection.vendor
        given = [one for value in values for one in _given(value, vendor)]
        found: list[Row]
        if connection.execute_wrappers or connection.queries_logged or connection.needs_rollback:
            with connection.cursor() as watched:
                watched.execute(self._sql[vendor], given)
                found = watched.fetchall()
            return found
        # Nobody looks on: the driver's own cursor, without the layers that cost as much as the answer.
        connection.close_if_health_check_failed()
        connection.ensure_connection()
        with connection.wrap_database_errors:
            cursor = connection.connection.cursor()
            cursor.execute(self._own[vendor], given)
            found = cursor.fetchall()
            cursor.close()
        return found

    def exact(self, row: Row) -> Row:
        """A row with its days, amounts and truths as such."""
        values = list(row)
        for at, read in self._read:
            values[at] = read(values[at])
        return tuple(values)


def _given(value: Any, vendor: str) -> list[Any]:
    if isinstance(value, str) or not isinstance(value, Collection):
        return [value]
    if isinstance(value, Together) and vendor != "sqlite":
        return [[row[at] for row in value] for at in range(len(value[0]))]
    return [json.dumps(list(value)) if vendor == "sqlite" else list(value)]
