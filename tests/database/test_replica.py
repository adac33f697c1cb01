"""Reads of the catalogue go to the replica, and nobody misses there what has just been saved."""

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


@pytest.fixture(scope="module")
def folder(tmp_path_factory, django_db_setup, django_db_blocker):
    """An empty primary, as a file."""
    made = tmp_path_factory.mktemp("replica")
    django_db_setup.use("sqlite")
    with django_db_blocker.unblock():
        connection.ensure_connection()
        copy = sqlite3.connect(made / "primary.sqlite3")
        connection.connection.backup(copy)
        copy.close()
    return made


def asked(folder: Path, replica: str, program: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *program.split()],
        cwd=ROOT,
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "TALLYBORE_DATA": str(folder),
            "TALLYBORE_HOSTS": "testserver",
            "TALLYBORE_REPLICA_LAG": "7",
            "DATABASE_URL": f"sqlite:///{folder}/primary.sqlite3",
            "REPLICA_URL": replica,
        },
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def told(folder):
    run = asked(folder, f"sqlite:///{folder}/replica.sqlite3", f"{HERE}/replica_requests.py")
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


@pytest.mark.parametrize(
    "read", ["before", "colleague", "orm", "raw", "cursor", "head", "post that only asks"]
)
def test_the_catalogue_is_read_from_the_replica(told, read):
    assert told[read] == "replica"


@pytest.mark.parametrize(
    "read",
    ["saver", "asks for the newest", "admin", "post", "job page", "own admin view", "in a transaction",
     "locked", "of a unit", "of units prefetched", "after a request"],
)  # fmt: skip
def test_whoever_writes_or_must_see_the_newest_reads_the_primary(told, read):
    assert told[read] == "primary"


def test_who_has_just_saved_reads_the_primary_for_the_seconds_of_the_setting(told):
    assert told["cookie"] == [7, True, "Lax"]


def test_a_row_read_from_the_replica_is_saved_to_the_primary_alone(told):
    assert told["saved"] == {"read": "replica", "default": "changed", "replica": ""}


def test_what_is_not_the_catalogue_is_read_from_the_primary(told):
    assert told["other apps"] == "default"


def test_nothing_is_written_to_the_replica(told):
    assert told["statements on the replica are refused"] is True
    assert told["migrates there"] == []


def test_a_replica_that_does_not_answer_is_passed_over(folder):
    # Port 1 is TCPMUX (RFC 1078), where no database listens: the connection is refused.
    run = asked(folder, "postgres://nobody@127.0.0.1:1/none", f"{HERE}/replica_requests.py down")
    assert run.returncode == 0, run.stderr
    assert json.loads(run.stdout) == ["primary", "primary"]
    assert run.stderr.count("The replica does not answer") == 1
