"""A machine without Pango: one clear line names the package, and everything but the PDF is done.

The missing library is real to the program: in a process of its own, the import of WeasyPrint fails the way it
does where the shared library cannot be loaded.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# What the loader of shared libraries says where Pango is not installed.
BROKEN = """
print("a page of advice")
raise OSError("cannot load library 'libpango-1.0-0'")
"""


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    folder = tmp_path_factory.mktemp("without-pango")
    (folder / "weasyprint.py").write_text(BROKEN)
    environment = {**os.environ, "PYTHONPATH": str(folder), "TALLYBORE_DATA": str(folder / "data")}
    environment.pop("DATABASE_URL", None)

    def command(*arguments):
        return subprocess.run(
            [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)],
            env=environment, cwd=folder, capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip

    return command, folder


@pytest.fixture(scope="module")
def demonstration(run):
    command, _ = run
    return command("demo")


def test_the_demonstration_goes_on_without_its_pdf(demonstration):
    done = demonstration
    assert done.returncode == 0, done.stderr
    assert "a page of advice" not in done.stdout + done.stderr
    assert "apt-get install libpango-1.0-0" in done.stdout
    assert "324.46" in done.stdout  # the firm total, recomputed by hand in tests/worked_examples
    assert "one-time password" in done.stdout


def test_a_job_file_still_gives_its_document(run, demonstration):
    command, folder = run
    job = ROOT / "fixtures" / "jobs" / "v8-rough-cold-start.json"
    done = command("estimate", job, "--pdf", folder / "out.pdf", "--json", folder / "out.json")
    assert done.returncode == 1
    assert done.stderr.strip().count("\n") == 0
    assert "apt-get install libpango-1.0-0" in done.stderr
    assert not (folder / "out.pdf").exists()
    assert json.loads((folder / "out.json").read_text())["totals"]["firm"]["with_tax"] == "324.46"
