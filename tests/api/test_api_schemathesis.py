"""Schemathesis (https://schemathesis.readthedocs.io) tries every operation of the OpenAPI document, in the
documented form and out of it, and finds nothing wrong in the answers or in the document.

It runs in a process of its own, on a copy of the demonstration in a file, with the same requests each time.
Here that is a handful for each operation. All of it, which takes long: SCHEMATHESIS_EXAMPLES=300.
"""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import connection, transaction
from django.utils import timezone
from knox.models import AuthToken

from estimates.demo import the_demonstration

ROOT = Path(__file__).resolve().parents[2]
MANY = os.environ.get("SCHEMATHESIS_EXAMPLES", "")
# Trying every bound of every parameter is what takes long: here for one address of each kind.
ONE_OF_EACH_KIND = r"^/api/v1/(brands/|search/|jobs/{number}/(unit|items/{key})/)"


@pytest.fixture(scope="module")
def told(database: str, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("schemathesis")
    with django_db_blocker.unblock(), transaction.atomic():
        the_demonstration(timezone.localtime(), new_password=False)
        _, token = AuthToken.objects.create(User.objects.get(username="demo"))
        (folder / "tallybore.sqlite3").write_bytes(connection.connection.serialize())
        transaction.set_rollback(True)
    phases = ["--examples", MANY] if MANY else ["--examples", "3", "--cover", ONE_OF_EACH_KIND]
    run = subprocess.run(
        [sys.executable, "-m", "tests.api.schemathesis_session", "--token", token, *phases],
        cwd=folder,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "TALLYBORE_DATA": str(folder),
            "TALLYBORE_HOSTS": "127.0.0.1",
            "DATABASE_URL": f"sqlite:///{folder}/tallybore.sqlite3",
            "REPLICA_URL": "",
        },
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.stdout, run.stderr[-4000:]
    *failures, last = run.stdout.splitlines()
    return "\n".join(failures), json.loads(last)["requests"]


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_nothing_is_wrong_with_any_answer(told):
    failures, _ = told
    assert not failures, failures


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_every_operation_was_tried(told, as_stranger):
    _, requests = told
    document = as_stranger.get("/api/v1/schema/").json()
    operations = {
        f"{method.upper()} {path}" for path, methods in document["paths"].items() for method in methods
    }
    assert operations == {label for label in requests if label in operations}
    assert min(requests[label] for label in operations) >= 1
