"""Findings on the page of a job: a person's, and those worked out."""

import pytest
from desk import advise_belt, measure_dead_plug, post, value_of, version, words
from django.test import Client
from floor import lay_out

from estimates.models import Finding, Job
from shop.models import Event

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_a_persons_finding_stands_with_its_reason_and_name(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    text = page(colleague, job)
    assert "Drive belt: can wait, worth knowing Ribs frayed. A person’s judgement, colleague." in text


def test_a_persons_finding_goes_before_what_the_readings_say_and_both_stay_visible(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    found = {"component": "heater", "position": "3", "standing": "advisory", "quantity": "1"}
    post(colleague, job, "findings", **found, reason="customer wants to wait")
    text = page(colleague, job)
    assert "Glow plug, cylinder 3: can wait, worth knowing" in text
    assert "the readings alone make it confirmed" in text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("reason", "", "This field is required"),
        ("component", "", "This field is required"),
        ("component", "no-such", "Select a valid choice"),
        ("position", "3", "Cylinder 3 is not the engine"),
        ("position", "9", "Select a valid choice"),
        ("standing", "maybe", "Select a valid choice"),
        ("quantity", "0", "is not a whole number from 1 to 1000"),
        ("quantity", "some", "is not a number"),
    ],
)
def test_a_finding_that_cannot_be_taken_is_refused_with_what_was_typed(
    colleague: Client, field: str, typed: str, said: str
):
    job = lay_out().job()
    good = {"component": "belt", "position": "engine", "standing": "advisory", "quantity": "1"}
    answer = post(colleague, job, "findings", **{**good, "reason": "ribs frayed", field: typed})
    assert answer.status_code == 422
    assert said in words(answer)
    if field != "reason":
        assert value_of(answer, "reason") == "ribs frayed"
    assert not Finding.objects.exists()


def test_a_finding_can_be_taken_back(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    post(colleague, job, "findings/remove", finding=Finding.objects.get().pk)
    assert not Finding.objects.exists()
    assert Event.objects.filter(what="finding-removed", subject=job.number).exists()


def test_a_finding_that_was_taken_back_meanwhile_is_a_conflict(colleague: Client, owner: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    key, seen = Finding.objects.get().pk, version(job)
    post(owner, job, "findings/remove", finding=key)
    assert post(colleague, job, "findings/remove", seen, finding=key).status_code == 409
    assert post(colleague, job, "findings/remove", finding=key).status_code == 404
