"""Puts the index of words in place after every migrate, and fills it where rows are there already.

As with the guards of shop.guards: SQLite drops a table's triggers when a migration has to rebuild that table,
so they are put back each time. After a migration of the catalogue the words are written anew, because rows
may have changed while no trigger stood there.
"""

from django.apps import AppConfig
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.signals import post_migrate, pre_migrate

from catalog.search.index import INDEXED, MAKE_TOKENS, Indexed, postgresql, put_postgresql, sqlite


def _statements(connection: BaseDatabaseWrapper, indexed: Indexed) -> tuple[list[str], list[str], list[str]]:
    return sqlite(indexed) if connection.vendor == "sqlite" else postgresql(indexed)


def install(connection: BaseDatabaseWrapper, *, anew: bool = False) -> None:
    """Tables, triggers, and the words of every row that has none; of all rows where `anew`."""
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(MAKE_TOKENS)
        for indexed in INDEXED:
            make, drop, create = _statements(connection, indexed)
            for statement in [*make, *drop, *create, *_fill(connection, indexed, anew)]:
                cursor.execute(statement)
        if connection.vendor == "postgresql":
            _likeness(cursor)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away and leave the words: before loading very many rows, with `install(anew=True)`
    afterwards, and before a migration that may have to rebuild a table."""
    with connection.cursor() as cursor:
        for indexed in INDEXED:
            present = set(connection.introspection.table_names(cursor))
            if indexed.table in present:
                for statement in _statements(connection, indexed)[1]:
                    cursor.execute(statement)


def _fill(connection: BaseDatabaseWrapper, indexed: Indexed, anew: bool) -> list[str]:
    table, words = indexed.table, indexed.words
    key = "rowid" if connection.vendor == "sqlite" else "id"
    missing = f"{indexed.select(table)} WHERE t.id NOT IN (SELECT {key} FROM {words})"
    if connection.vendor == "sqlite":
        clear = [f"DELETE FROM {words}"] if anew else []
        return [*clear, f"INSERT INTO {words}(rowid, words) {missing}"]
    clear = [f"TRUNCATE {words}", f"TRUNCATE {indexed.vocabulary}"] if anew else []
    return [*clear, put_postgresql(indexed, missing)]


def _likeness(cursor: object) -> None:
    """With the extension pg_trgm a misspelt word is found by its likeness; see described.py."""
    cursor.execute("SELECT 1 FROM pg_extension WHERE extname = 'pg_trgm'")  # type: ignore[attr-defined]
    if cursor.fetchone():  # type: ignore[attr-defined]
        for indexed in INDEXED:
            cursor.execute(  # type: ignore[attr-defined]
                f"CREATE INDEX IF NOT EXISTS {indexed.vocabulary}_trgm ON {indexed.vocabulary} "
                "USING gin (word gin_trgm_ops)"
            )


def install_after_migrate(app: AppConfig) -> None:
    """Keep the index in place on every database that is migrated."""

    def before(sender: AppConfig, using: str, plan: list | None = None, **_: object) -> None:
        # Renaming a rebuilt table, SQLite reads every trigger that names it, and would find the name gone.
        if plan and connections[using].vendor == "sqlite":
            remove(connections[using])

    def after(sender: AppConfig, using: str, plan: list | None = None, **_: object) -> None:
        connection = connections[using]
        if all(indexed.table in connection.introspection.table_names() for indexed in INDEXED):
            install(connection, anew=any(step.app_label == app.label for step, _ in plan or ()))

    pre_migrate.connect(before, sender=app, weak=False, dispatch_uid="words-away")
    post_migrate.connect(after, sender=app, weak=False, dispatch_uid="words")
