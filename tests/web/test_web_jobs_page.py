"""The page of a job: who may see it, and what is there to be seen."""

import pytest
from desk import words
from django.test import Client
from django.urls import reverse
from floor import lay_out

from estimates.models import Job
from estimates.urls import urlpatterns

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_every_page_of_the_jobs_asks_a_stranger_to_sign_in(stranger: Client):
    job = lay_out().job()
    for pattern in urlpatterns:
        names = pattern.pattern.converters
        key = {"pk": job.pk, "name": "x"}
        url = reverse(pattern.name, kwargs={name: key.get(name, 1) for name in names})
        answers = [stranger.get(url), stranger.post(url)]
        # A page that only takes a form answers 405 to a look at it, before it asks who is there.
        led = [a for a in answers if a.status_code == 302 and a["Location"].startswith("/sign-in/?next=")]
        assert led, url
        assert {a.status_code for a in answers if a not in led} <= {405}, url


@pytest.mark.parametrize("path", ["", "draft.pdf", "issued/E-1-1.pdf"])
def test_a_job_that_is_not_there_is_not_found(colleague: Client, path: str):
    assert colleague.get(f"/jobs/999/{path}").status_code == 404
    assert colleague.get(f"/jobs/{10**30}/{path}").status_code == 404


@pytest.mark.parametrize("path", ["unit", "readings", "findings", "choices", "issue", "readings/remove"])
def test_a_form_for_a_job_that_is_not_there_is_not_found(colleague: Client, path: str):
    assert colleague.post(f"/jobs/999/{path}/", {"version": 1}).status_code == 404
