"""The list of jobs: newest first, in words, a page at a time."""

from datetime import date, timedelta
from typing import Any

import pytest
from desk import measure_dead_plug, post, words
from django.test import Client
from floor import lay_out

from estimates.models import IssuedEstimate, Job
from estimates.views.jobs import PER_PAGE, state_in_words

pytestmark = pytest.mark.django_db


def test_jobs_stand_newest_first(colleague: Client):
    floor = lay_out()
    old, new, same_day = floor.job(name="First"), floor.job(name="Second"), floor.job(name="Third")
    Job.objects.filter(pk=old.pk).update(opened_on=date(2025, 5, 1))
    text = words(colleague.get("/jobs/"))
    assert text.index(same_day.number) < text.index(new.number) < text.index(old.number)


def test_a_job_without_an_estimate_says_that_nothing_is_issued(colleague: Client):
    lay_out().job()
    assert "draft, nothing issued yet" in words(colleague.get("/jobs/"))


def test_an_issued_job_shows_its_revision_its_last_day_and_its_firm_total(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    assert post(colleague, job, "issue").status_code == 302
    text = words(colleague.get("/jobs/"))
    assert "revision 1 issued, valid until" in text
    assert "219.60 EUR" in text  # worked out in test_web_jobs_estimate.py


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize(
    ("day", "said"),
    [
        (date(2026, 3, 30), "revision 2 issued, valid until 31 March 2026"),
        (date(2026, 3, 31), "revision 2 issued, valid until 31 March 2026"),
        (date(2026, 4, 1), "revision 2 expired on 31 March 2026"),
    ],
)
def test_an_estimate_is_valid_through_its_last_day(day: date, said: str):
    job: Any = Job()
    job.last_revision, job.last_valid_until = 2, date(2026, 3, 31)
    assert state_in_words(job, day) == said


@pytest.mark.parametrize("wanted", ["J1002", "combine", "HARVESTER", "marten combine", "WX 12"])
def test_a_job_is_found_by_number_customer_or_machine(colleague: Client, wanted: str):
    floor = lay_out()
    floor.job(name="Hay baler")
    floor.job(name="Combine harvester", registration="WX 12")
    text = words(colleague.get("/jobs/", {"q": wanted}))
    assert "Combine harvester" in text
    assert "Hay baler" not in text


def test_a_customer_finds_all_of_their_machines(colleague: Client):
    floor = lay_out()
    floor.job(name="Hay baler")
    floor.job(name="Combine harvester")
    text = words(colleague.get("/jobs/", {"q": "marten"}))
    assert "Hay baler" in text
    assert "Combine harvester" in text


def test_a_search_without_a_match_says_so(colleague: Client):
    lay_out().job()
    assert "No job has “submarine”" in words(colleague.get("/jobs/", {"q": "submarine"}))


def test_pages_follow_one_another_without_a_gap_or_a_repeat(colleague: Client):
    first = lay_out().job()
    Job.objects.bulk_create(
        Job(number=f"K{n}", unit=first.unit, complaint="x", opened_on=first.opened_on - timedelta(n // 3))
        for n in range(PER_PAGE + 5)
    )
    expected = list(Job.objects.order_by("-opened_on", "-pk").values_list("number", flat=True))
    one = colleague.get("/jobs/")
    seen = [line["job"].number for line in one.context["lines"]]
    assert len(seen) == PER_PAGE
    two = colleague.get("/jobs/", {"older-than": one.context["older"]})
    seen += [line["job"].number for line in two.context["lines"]]
    assert seen == expected
    assert two.context["older"] is None


@pytest.mark.parametrize("place", ["999", "x", "-1", "9" * 30])
def test_a_place_that_is_not_in_the_list_is_not_found(colleague: Client, place: str):
    assert colleague.get("/jobs/", {"older-than": place}).status_code == 404


def test_the_list_asks_the_database_as_often_for_many_jobs_as_for_one(
    colleague: Client, django_assert_num_queries: Any
):
    first = lay_out().job()
    with django_assert_num_queries(5):  # session, user, demonstration notice, jobs, decisions
        colleague.get("/jobs/")
    Job.objects.bulk_create(
        Job(number=f"K{n}", unit=first.unit, complaint="x", opened_on=first.opened_on) for n in range(20)
    )
    with django_assert_num_queries(5):
        colleague.get("/jobs/")


def test_of_several_revisions_the_last_one_counts(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    post(colleague, job, "issue")
    post(colleague, job, "issue")
    assert IssuedEstimate.objects.filter(job=job).count() == 2
    assert "revision 2 issued" in words(colleague.get("/jobs/"))
