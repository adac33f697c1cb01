"""Several reads that see one state of the database, however long they take and whoever writes meanwhile."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, transaction


@contextmanager
def snapshot(using: str = DEFAULT_DB_ALIAS) -> Iterator[None]:
    """For reading only: it keeps nobody from writing. Within a transaction there is one state already."""
    connection: Any = connections[using]
    if connection.in_atomic_block:
        yield
        return
    if connection.vendor == "sqlite":
        # A deferred transaction takes no lock for writing; in WAL mode its first read fixes what it sees.
        connection.ensure_connection()
        usual = connection.transaction_mode
        connection.transaction_mode = "DEFERRED"
        try:
            with transaction.atomic(using):
                connection.transaction_mode = usual
                yield
        finally:
            connection.transaction_mode = usual
        return
    with transaction.atomic(using):
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield
