"""Where the parts of a job are bought, through the API."""

from datetime import timedelta

import pytest
from django.utils import timezone

from estimates.models import Job

pytestmark = pytest.mark.django_db


def test_the_plan_and_the_day_are_set_and_read_again(ask, send, job):
    day = (timezone.localdate() + timedelta(days=30)).isoformat()
    assert send("patch", "jobs/J1001/sourcing/", {"plan": "soonest", "needed_by": day}).status_code == 200
    told = ask("jobs/J1001/sourcing/").json()
    assert (told["plan"], told["chosen_for_this_job"], told["needed_by"]) == ("soonest", True, day)
    assert [plan["plan"] for plan in told["plans"] if plan["followed"]] == ["soonest"]
    assert send("patch", "jobs/J1001/sourcing/", {"needed_by": None}).status_code == 200
    kept = Job.objects.get(number="J1001")
    assert (kept.sourcing_plan, kept.needed_by) == ("soonest", None)


@pytest.mark.parametrize(
    ("body", "named"),
    [
        ({"plan": "nearest"}, "plan"),
        ({"plan": 7}, "plan"),
        ({"needed_by": "2020-01-01"}, "needed by"),
        ({"needed_by": "tomorrow"}, "needed_by"),
        ({}, "the body"),
        ({"supplier": "north"}, "supplier"),
    ],
)
@pytest.mark.databases("sqlite")
def test_what_cannot_be_is_refused_and_named(send, job, body, named):
    answer = send("patch", "jobs/J1001/sourcing/", body)
    assert answer.status_code == 422
    assert named in answer.content.decode()
    assert Job.objects.get(number="J1001").version == job.version
