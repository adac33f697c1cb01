"""The other side of every comparison: the database's own driver, no Django, statements written by hand."""

import json
import os
import sqlite3
from typing import Any
from urllib.parse import urlsplit

from places import FOLDER


class Bare:
    """One connection of its own with the settings that serve it best: prepared statements on PostgreSQL, the
    same cache as the project's on SQLite."""

    def __init__(self, database: str, name: str) -> None:
        self.sqlite = database == "sqlite"
        self.connection: Any = _sqlite(name) if self.sqlite else _postgresql(name)
        self.cursor = self.connection.cursor()

    def rows(self, sql: str, values: Any) -> list[tuple[Any, ...]]:
        if self.sqlite:
            values = [json.dumps(value) if isinstance(value, list) else value for value in values]
        self.cursor.execute(sql, values)
        return self.cursor.fetchall()


def _sqlite(name: str) -> sqlite3.Connection:
    connection = sqlite3.connect(FOLDER / f"{name}.sqlite3", isolation_level=None, cached_statements=500)
    connection.execute("PRAGMA cache_size=-20000")  # as the project's own
    return connection


def _postgresql(name: str) -> Any:
    import psycopg

    url = urlsplit(os.environ["DATABASE_URL"])
    host, _, _ = url.path[1:].rpartition("/")
    return psycopg.connect(
        dbname=name, host=host or url.hostname, port=url.port, user=url.username, password=url.password,
        autocommit=True, prepare_threshold=0,
    )  # fmt: skip
