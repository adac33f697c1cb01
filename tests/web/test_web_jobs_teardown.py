"""Teardown on the page of a job: what takes longer here, the worksheet, and what may be hidden."""

import pytest
from desk import advise_belt, measure_dead_plug, post, words
from django.test import Client
from floor import lay_out

from estimates.models import Job, JobFactor
from shop.models import Event

pytestmark = pytest.mark.django_db
RUST = {"step": "cover-off", "position": "A", "factor": "1.5", "reason": "screws corroded"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_what_takes_longer_is_written_down_printed_and_taken_back(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    assert "Nothing is written down to take longer on this machine than usual." in page(colleague, job)
    answer = post(colleague, job, "factors", **RUST)
    assert (answer.status_code, answer["Location"]) == (302, f"/jobs/{job.pk}/#teardown")
    text = page(colleague, job)
    # Of the rocker cover: 40 minutes x 1.5.
    assert "rocker cover off and on, bank A: takes 1.5 times as long Screws corroded." in text
    assert "Bank A: 40 to 60 minutes." in text
    assert "takes 1.5 times as long on this machine, 60 instead of 40 min: screws corroded." in text
    event = Event.objects.get(what="factor-set")
    assert (event.detail["step"], event.detail["factor"]) == ("cover-off@A", "1.5")
    post(colleague, job, "factors", **{**RUST, "position": "B"})
    assert "Nothing in the estimate opens it, so it changes nothing." in page(colleague, job)
    for key in ("cover-off@A", "cover-off@B"):
        assert post(colleague, job, "factors/remove", factor=key).status_code == 302
    assert not JobFactor.objects.exists()
    assert post(colleague, job, "factors/remove", factor="cover-off@A").status_code == 404


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("factor", "0.9", "0.9 is out of range"),
        ("factor", "rusty", "is not a number"),
        ("position", "3", "Cylinder 3 is not a bank"),
        ("step", "", "This field is required"),
        ("reason", "", "This field is required"),
    ],
)
def test_what_cannot_be_taken_is_said_beside_its_field_and_kept(
    colleague: Client, field: str, typed: str, said: str
):
    job = lay_out().job()
    answer = post(colleague, job, "factors", **{**RUST, field: typed})
    assert answer.status_code == 422
    assert said in words(answer)
    if field != "reason":
        assert 'value="screws corroded"' in answer.content.decode()
    assert not JobFactor.objects.exists()


def test_a_form_made_before_somebody_else_changed_the_job_is_not_saved_and_kept(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    for path, fields in (("factors", RUST), ("factors/remove", {"factor": "cover-off@A"})):
        answer = post(colleague, job, path, seen=1, **fields)
        assert answer.status_code == 409
        assert "this job was changed while you had it open" in words(answer)
    assert not JobFactor.objects.exists()


def test_the_worksheet_comes_as_a_pdf_and_only_the_writer_reads_what_is_likely(
    colleague: Client, stranger: Client
):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    text = page(colleague, job)
    assert "For you, not for the customer: about" in text
    answer = colleague.get(f"/jobs/{job.pk}/worksheet.pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer.content.startswith(b"%PDF")
    assert f'filename="{job.number}-worksheet.pdf"' in answer["Content-Disposition"]
    assert stranger.get(f"/jobs/{job.pk}/worksheet.pdf").status_code == 302
