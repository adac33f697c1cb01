"""The demonstration, imported once for each module and database, then rolled back."""

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.db import transaction

from catalog.actions import import_pack
from estimates.actions import keep_job
from estimates.jobfile import read_job_file
from estimates.models import Job
from shop.actions import set_up_workshop

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
JOB_FILES = sorted((FIXTURES / "jobs").glob("*.json"))
NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo_catalogue(database: str, django_db_blocker: Any) -> Iterator[None]:
    with django_db_blocker.unblock(), transaction.atomic():
        import_pack(FIXTURES / "demo")
        set_up_workshop(FIXTURES / "workshop.json")
        yield
        transaction.set_rollback(True)


@pytest.fixture
def writer(demo_catalogue: None, db: None) -> User:
    """The service writer who does everything in these tests."""
    return User.objects.create_user("wren")


@pytest.fixture
def job(writer: User) -> Job:
    """The rough cold start of the demonstration, kept in the database."""
    intake, _ = read_job_file(FIXTURES / "jobs" / "v8-rough-cold-start.json", NOON.date())
    return keep_job(intake, by=writer, at=NOON)


@pytest.fixture
def job_file(tmp_path: Path) -> Any:
    """Writes a job file: the demonstration's rough cold start with changes, or any text or bytes."""

    def write(content: Any = None, **changes: Any) -> Path:
        path = tmp_path / "job.json"
        if isinstance(content, bytes):
            path.write_bytes(content)
            return path
        if content is None:
            job = json.loads((FIXTURES / "jobs" / "v8-rough-cold-start.json").read_text(encoding="utf-8"))
            content = {key: value for key, value in (job | changes).items() if value is not ...}
        text = content if isinstance(content, str) else json.dumps(content)
        path.write_text(text, encoding="utf-8")
        return path

    return write


def everything() -> dict[str, int]:
    """How many rows every table holds."""
    return {model._meta.label: model._default_manager.count() for model in apps.get_models()}
