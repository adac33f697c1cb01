"""The job file that the README shows is run as it stands."""

import json
import re

import pytest
from django.core.management import call_command

from estimates.models import Job
from estimates.story import story
from tests.jobs.conftest import FIXTURES, NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]

README = FIXTURES.parent / "README.md"


def shown() -> list[str]:
    """Every fenced JSON block of the README that is a job file."""
    blocks = re.findall(r"^```json\n(.*?)^```", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    return [block for block in blocks if '"complaint"' in block]


def test_the_readme_shows_one_job_file():
    assert len(shown()) == 1


def test_the_job_file_in_the_readme_makes_an_estimate(tmp_path, capsys):
    (tmp_path / "job.json").write_text(shown()[0], encoding="utf-8")
    pdf, document = tmp_path / "out.pdf", tmp_path / "out.json"
    call_command("estimate", str(tmp_path / "job.json"), "--pdf", str(pdf), "--json", str(document))
    assert pdf.read_bytes().startswith(b"%PDF-")
    made = json.loads(document.read_bytes())
    assert made["job"]["complaint"] == json.loads(shown()[0])["complaint"]
    assert made["groups"]["firm"]
    assert made["totals"]["firm"]["with_tax"] in capsys.readouterr().out


def test_the_story_in_the_readme_is_what_really_happens(writer):
    (block,) = re.findall(
        r"^```text\n(complaint .*?)^```", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    assert story(NOON, by=writer) == block.splitlines()
    assert not Job.objects.exists(), "nothing of it stays"
