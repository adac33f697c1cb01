"""Brings a trade into an empty database by its own bulk path: rows first, constraints and indexes after.

PostgreSQL takes the rows by COPY, into tables without foreign keys, unique constraints, indexes and guards;
putting those back checks every row. SQLite takes them by executemany, without indexes and guards; at the end
its own foreign key check and every guard's condition are run over all rows.
"""

import json
import time
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from places import enter, note_of
from trade import VERSION, Table, Trade

BLOCK = 20_000


def ready(size: int, database: str) -> Trade:
    """Enter the scratch database of this size, loaded if it is not yet; says how long that took."""
    trade = Trade(size)
    name, held = f"trade_{size}", {"size": size, "seed": trade.seed, "version": VERSION}
    note = note_of(database, name)
    complete = note.exists() and json.loads(note.read_text()) == held
    enter(database, name, afresh=not complete)
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", verbosity=0)
    if not complete:
        started = time.perf_counter()
        load(trade, database)
        note.write_text(json.dumps(held))
        print(f"loaded {size:,} applications into {database} in {time.perf_counter() - started:.0f} s")
    return trade


def load(trade: Trade, database: str) -> None:
    from django.db import connection

    from catalog.guards import GUARDS
    from catalog.search import install as words
    from shop.guards import install, remove

    remove(connection, GUARDS)
    words.remove(connection)
    (_sqlite if database == "sqlite" else _postgresql)(trade)
    words.install(connection, anew=True)
    for guard in GUARDS:
        _holds(guard)
    install(connection, GUARDS)


def with_defaults(table: Table) -> tuple[str, list[str], tuple[Any, ...]]:
    """The database's table, all its columns, and constants for those the rows leave out."""
    from django.apps import apps
    from django.db import connection

    model = apps.get_model("catalog", table.model)
    rest = [f for f in model._meta.concrete_fields if f.column not in table.columns]
    constants = tuple(f.get_db_prep_save(f.get_default(), connection) for f in rest)
    return model._meta.db_table, [*table.columns, *(f.column for f in rest)], constants


def tables_of_the_catalogue() -> list[str]:
    from django.apps import apps

    return [model._meta.db_table for model in apps.get_app_config("catalog").get_models()]


def _holds(guard: Any) -> None:
    """No row in the database breaks this guard."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {guard.table}")
        if "OLD." in guard.condition or not cursor.fetchone()[0]:
            return
        cursor.execute(f"SELECT EXISTS (SELECT 1 FROM {guard.table} AS NEW WHERE {guard.condition})")
        if cursor.fetchone()[0]:
            raise SystemExit(f"the rows break the guard {guard.name}: {guard.message}")


# PostgreSQL


def _postgresql(trade: Trade) -> None:
    from django.db import connection

    names = tables_of_the_catalogue()
    with connection.cursor() as cursor:
        put_back = _taken_away(cursor, names)
    raw = connection.connection
    for table in trade.tables():
        name, columns, constants = with_defaults(table)
        # Emptied and filled in one transaction, so that the rows need no write-ahead log.
        with raw.transaction(), raw.cursor() as cursor:
            cursor.execute(f"TRUNCATE {name}")
            with cursor.copy(f"COPY {name} ({', '.join(columns)}) FROM STDIN") as copy:
                for row in table.rows:
                    copy.write_row(row + constants)
    with connection.cursor() as cursor:
        for statement in put_back:
            cursor.execute(statement)
        for name in names:
            cursor.execute(
                "SELECT setval(pg_get_serial_sequence(%s, 'id'), "
                f"(SELECT coalesce(max(id), 1) FROM {name}))", [name]
            )  # fmt: skip
        cursor.execute("VACUUM ANALYZE")


def _taken_away(cursor: Any, names: list[str]) -> list[str]:
    """Drop what slows loading; returns the statements that put it back, unique constraints first."""
    cursor.execute(
        "SELECT conrelid::regclass::text, conname, contype, pg_get_constraintdef(oid) FROM pg_constraint "
        "WHERE (conrelid::regclass::text = ANY(%s) AND contype = 'u') "
        "OR (confrelid::regclass::text = ANY(%s) AND contype = 'f') ORDER BY conname",
        [names, names],
    )
    constraints = cursor.fetchall()
    back = []
    for table, name, _, _ in sorted(constraints, key=lambda row: row[2] != "f"):
        cursor.execute(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"')
    back += [f'ALTER TABLE {t} ADD CONSTRAINT "{n}" {d}' for t, n, kind, d in constraints if kind == "u"]
    cursor.execute(
        "SELECT indexname, indexdef FROM pg_indexes WHERE tablename = ANY(%s) AND NOT EXISTS "
        "(SELECT 1 FROM pg_constraint "
        "WHERE conindid = (schemaname || '.' || quote_ident(indexname))::regclass)",
        [names],
    )
    for name, definition in cursor.fetchall():
        cursor.execute(f'DROP INDEX "{name}"')
        back.append(definition)
    back.append("ANALYZE")
    back += [f'ALTER TABLE {t} ADD CONSTRAINT "{n}" {d}' for t, n, kind, d in constraints if kind == "f"]
    return back


# SQLite


def _sqlite(trade: Trade) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys = OFF")
        cursor.execute("PRAGMA synchronous = OFF")
        cursor.execute("PRAGMA journal_mode = OFF")
        cursor.execute("PRAGMA cache_size = -500000")
        names = tables_of_the_catalogue()
        marks = ", ".join(["%s"] * len(names))
        for name in names:
            cursor.execute(f"DELETE FROM {name}")
        cursor.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql NOT NULL "
            f"AND tbl_name IN ({marks})",
            names,
        )
        indexes = cursor.fetchall()
        for name, _ in indexes:
            cursor.execute(f'DROP INDEX "{name}"')
        raw = connection.connection
        raw.execute("BEGIN")
        for table in trade.tables():
            name, columns, constants = with_defaults(table)
            statement = f"INSERT INTO {name} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"
            for block in _blocks(table.rows):
                raw.executemany(statement, [row + constants for row in block] if constants else block)
        raw.execute("COMMIT")
        for _, statement in indexes:
            cursor.execute(statement)
        cursor.execute("ANALYZE")
        if cursor.execute("PRAGMA foreign_key_check").fetchone():
            raise SystemExit("a row points to nothing")
    connection.close()  # the next connection is in write-ahead mode again


def _blocks(rows: Iterable[Any]) -> Iterator[list[Any]]:
    rows = iter(rows)
    while block := list(islice(rows, BLOCK)):
        yield block
