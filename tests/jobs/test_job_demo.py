"""The demonstration, through the real command: complete the first time, unchanged the second."""

import json
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from estimates.models import IssuedEstimate, Job
from shop.models import Workshop
from tests.jobs.conftest import everything

pytestmark = pytest.mark.django_db


def demo(folder: Path, capsys, *options: str) -> str:
    call_command("demo", "--pdf", str(folder / "estimate.pdf"), *options)
    return capsys.readouterr().out


def test_the_demonstration_ends_in_an_issued_estimate_and_its_pdf(tmp_path, capsys):
    said = demo(tmp_path, capsys)
    estimate = IssuedEstimate.objects.get()
    assert (tmp_path / "estimate.pdf").read_bytes() == bytes(
        estimate.files.get(media_type="application/pdf").content
    )
    totals = json.loads(estimate.document)["totals"]
    for name in ("firm", "ceiling", "options"):
        assert totals[name]["with_tax"] in said
    assert "Demonstration data, not for real work." in said
    assert str(tmp_path / "estimate.pdf") in said


def test_the_password_it_tells_opens_the_door(tmp_path, capsys):
    said = demo(tmp_path, capsys)
    password = said.split("one-time password ")[1].split()[0]
    assert User.objects.get(username="demo").check_password(password)


def test_run_again_it_changes_nothing_and_says_the_same(tmp_path, capsys):
    first = demo(tmp_path, capsys)
    before, users = everything(), list(User.objects.values())
    issued = list(IssuedEstimate.objects.values())
    (tmp_path / "estimate.pdf").unlink()
    second = demo(tmp_path, capsys)
    assert everything() == before
    assert (list(User.objects.values()), list(IssuedEstimate.objects.values())) == (users, issued)
    assert (tmp_path / "estimate.pdf").is_file()
    assert "password printed the first time" in second
    assert second.split("Sign in as")[0] == first.split("Sign in as")[0]


def test_a_new_password_is_made_only_when_asked_for(tmp_path, capsys):
    demo(tmp_path, capsys)
    password = demo(tmp_path, capsys, "--new-password").split("one-time password ")[1].split()[0]
    assert User.objects.get(username="demo").check_password(password)


def test_it_refuses_the_database_of_a_real_workshop(tmp_path, capsys):
    Workshop.objects.create(pk=1, name="Harbour Street Engines", currency="EUR", labour_rate=80)
    before = everything()
    with pytest.raises(CommandError, match="belongs to Harbour Street Engines") as refusal:
        demo(tmp_path, capsys)
    assert "set TALLYBORE_DATA to an empty folder" in str(refusal.value)
    assert everything() == before
    assert not (tmp_path / "estimate.pdf").exists()


def test_a_folder_that_is_not_there_is_said_in_words(tmp_path, capsys):
    with pytest.raises(CommandError, match="name a file in a folder that exists"):
        demo(tmp_path / "nowhere", capsys)


def test_its_job_can_be_built_again_from_what_was_kept(tmp_path, capsys):
    demo(tmp_path, capsys)
    job = Job.objects.get()
    assert (job.number, job.readings.count(), job.findings.count()) == ("J1001", 10, 2)
