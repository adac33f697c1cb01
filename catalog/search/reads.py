"""Plain rows for plain SQL, with as little Python around the database as can be."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from django.db import connections

from shop.replicas import reading

# After everything that begins with a text, in the order that the indexes keep.
LAST = "\U0010ffff"


def vendor() -> str:
    """The kind of database that this request reads the catalogue from."""
    return connections[reading()].vendor


def both(template: str, **parts: tuple[str, str]) -> dict[str, str]:
    """One statement for both databases, `parts` being what differs: (SQLite, PostgreSQL)."""
    return {
        name: template.format(**{key: texts[n] for key, texts in parts.items()})
        for n, name in enumerate(("sqlite", "postgresql"))
    }


@lru_cache(maxsize=64)
def _in_its_own_marks(sql: str) -> str:
    return sql.replace("%s", "?")


def rows(statement: Mapping[str, str], params: Sequence[Any]) -> list[Any]:
    """The rows of a statement written once for each kind of database."""
    connection = connections[reading()]
    kind = connection.vendor
    if connection.execute_wrappers or connection.queries_logged or connection.needs_rollback:
        with connection.cursor() as watched:
            watched.execute(statement[kind], params)
            return watched.fetchall()
    # Nobody looks on: the driver itself, since the framework's cursor takes longer than the answer.
    if connection.connection is None or kind != "sqlite":
        connection.close_if_health_check_failed()
        connection.ensure_connection()
    if kind == "sqlite":
        # Its mark for a parameter is the question mark; no text here has one of these marks in it.
        return connection.connection.execute(_in_its_own_marks(statement["sqlite"]), params).fetchall()
    with connection.wrap_database_errors, connection.connection.cursor() as cursor:
        cursor.execute(statement[kind], params)
        return cursor.fetchall()
