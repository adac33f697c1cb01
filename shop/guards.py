"""Rules that the database itself refuses to break, beyond what a check constraint can say.

A guard is one SQL condition over the row about to be written; it becomes a trigger on SQLite and on
PostgreSQL. Guards are (re)installed after every migration, because SQLite drops a table's triggers when a
later migration has to rebuild that table.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.apps import AppConfig
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate, pre_migrate


@dataclass(frozen=True)
class Guard:
    """Refuse `events` on `table` where `condition` (SQL over NEW, portable) holds, saying `message`.

    `alone` is for conditions over other rows of the table: PostgreSQL lets several people write at once, and
    none of them sees what the others have not finished writing, so they wait for one another. SQLite has one
    writer at a time anyway.
    """

    name: str
    table: str
    events: tuple[str, ...]
    condition: str
    message: str
    alone: bool = False


def never_changes(table: str, what: str) -> Guard:
    """No update, no delete, by any path."""
    return Guard(
        f"{table}_stays", table, ("UPDATE", "DELETE"), "1 = 1", f"{what} never change: add a new one"
    )


def same_family(table: str, left: tuple[str, str], right: tuple[str, str], what: str) -> Guard:
    """Both foreign keys (column, table) must lead to the same engine family.

    A table of "" means the column is the family itself. A null on either side is let through.
    """

    def side(column: str, target: str) -> str:
        if not target:
            return f"NEW.{column}"
        return f"(SELECT family_id FROM {target} WHERE id = NEW.{column})"

    return Guard(
        f"{table}_{left[0]}_{right[0]}",
        table,
        ("INSERT", "UPDATE"),
        f"{side(*left)} <> {side(*right)}",
        f"{what} must belong to one engine family",
    )


def no_cycle(table: str, start: str, end: str, what: str) -> Guard:
    """`start` -> `end` is a directed graph without cycles."""
    return Guard(
        f"{table}_no_cycle",
        table,
        ("INSERT", "UPDATE"),
        f"NEW.{start} = NEW.{end} OR EXISTS (WITH RECURSIVE reach(node) AS (SELECT NEW.{end} UNION "
        f"SELECT e.{end} FROM {table} e JOIN reach ON e.{start} = reach.node) "
        f"SELECT 1 FROM reach WHERE node = NEW.{start})",
        f"{what} must not run in a circle",
        alone=True,
    )


def _sqlite(guard: Guard) -> tuple[list[str], list[str]]:
    names = {event: f"guard_{guard.name}_{event.lower()}" for event in guard.events}
    create = [
        f"CREATE TRIGGER {name} BEFORE {event} ON {guard.table} FOR EACH ROW WHEN {guard.condition} "
        f"BEGIN SELECT RAISE(ABORT, '{guard.message}'); END"
        for event, name in names.items()
    ]
    return [f"DROP TRIGGER IF EXISTS {name}" for name in names.values()], create


def _postgresql(guard: Guard) -> tuple[list[str], list[str]]:
    name = f"guard_{guard.name}"
    events = " OR ".join(guard.events)
    drop = [
        f"DROP TRIGGER IF EXISTS {name} ON {guard.table}",
        f"DROP TRIGGER IF EXISTS {name}_truncate ON {guard.table}",
        f"DROP FUNCTION IF EXISTS {name}()",
    ]
    refuse = f"RAISE EXCEPTION '{guard.message}' USING ERRCODE = 'check_violation', CONSTRAINT = '{name}'"
    # A statement of its own: what is asked after it sees what the one waited for has written.
    wait = f"PERFORM pg_advisory_xact_lock(hashtext('{guard.table}')); " if guard.alone else ""
    create = [
        f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {wait}"
        f"IF {guard.condition} THEN {refuse}; END IF; "
        "IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW; END $$",
        f"CREATE TRIGGER {name} BEFORE {events} ON {guard.table} FOR EACH ROW EXECUTE FUNCTION {name}()",
    ]
    if "DELETE" in guard.events:
        create.append(
            f"CREATE TRIGGER {name}_truncate BEFORE TRUNCATE ON {guard.table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
        )
    return drop, create


def _statements(connection: BaseDatabaseWrapper, guard: Guard) -> tuple[list[str], list[str]]:
    return _sqlite(guard) if connection.vendor == "sqlite" else _postgresql(guard)


def install(connection: BaseDatabaseWrapper, guards: Sequence[Guard]) -> None:
    """Put every guard in place, replacing an older one of the same name."""
    with connection.cursor() as cursor:
        for guard in guards:
            drop, create = _statements(connection, guard)
            for statement in [*drop, *create]:
                cursor.execute(statement)


def remove(connection: BaseDatabaseWrapper, guards: Sequence[Guard]) -> None:
    """Take the guards away: for a migration that mends guarded rows, and for emptying a test database."""
    with connection.cursor() as cursor:
        for guard in guards:
            for statement in _statements(connection, guard)[0]:
                cursor.execute(statement)


def install_after_migrate(app: AppConfig, guards: Sequence[Guard]) -> None:
    """Put `guards` in place after every migrate of `app`, on the database that was migrated."""

    def before(sender: AppConfig, using: str, plan: list | None = None, **_: object) -> None:
        # Renaming a rebuilt table, SQLite reads every trigger that names it, and finds the name gone.
        if plan and connections[using].vendor == "sqlite":
            remove(connections[using], guards)

    def handler(sender: AppConfig, using: str, **_: object) -> None:
        connection = connections[using]
        tables = set(connection.introspection.table_names())
        install(connection, [guard for guard in guards if guard.table in tables])

    pre_migrate.connect(before, sender=app, weak=False, dispatch_uid=f"guards-away-{app.label}")
    post_migrate.connect(handler, sender=app, weak=False, dispatch_uid=f"guards-{app.label}")
    connection_created.connect(_guard_replacing, dispatch_uid="guards-replacing")


def _guard_replacing(connection: BaseDatabaseWrapper, **_: object) -> None:
    """Without this SQLite lets INSERT OR REPLACE delete a row past every guard against deleting."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA recursive_triggers = ON")
