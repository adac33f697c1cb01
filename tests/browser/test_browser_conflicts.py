"""Two people at one job: who comes second is told, and loses nothing."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from floor import lay_out
from hands import enter, top_of, with_belt

pytestmark = [pytest.mark.browser, pytest.mark.databases("sqlite"), pytest.mark.django_db(transaction=True)]


def test_two_people_at_one_job_lose_nothing(open_page: Callable[..., Any], user: User) -> None:
    job = lay_out().job()
    other = User.objects.create_user("finch", first_name="Finch")
    mine, theirs = open_page(user), open_page(other)
    for page in (mine, theirs):
        page.goto(f"/jobs/{job.pk}/?test=at-connector")
    theirs.fill("#id_value-1", "0.97")
    theirs.click("text=Save and judge")
    mine.fill("#id_value-2", "0.81")
    mine.click("text=Save and judge")
    said = mine.inner_text("#readings [role=alert]")
    assert "Not saved: this job was changed while you had it open." in said
    assert "Finch" in said
    assert "0.97" in mine.inner_text("#readings table")
    assert mine.input_value("#id_value-2") == "0.81"
    mine.click("text=Save and judge")
    assert "0.81" in mine.inner_text("#readings table")
    assert job.readings.count() == 2


def test_a_switch_on_an_outdated_page_says_so_in_place(open_page: Callable[..., Any], user: User) -> None:
    job = lay_out().job()
    page, other = open_page(user), open_page(User.objects.create_user("finch", first_name="Finch"))
    page.goto(f"/jobs/{job.pk}/")
    with_belt(page)
    other.goto(f"/jobs/{job.pk}/")
    enter(other, "Resistance at the plug", {"3": "open"})
    page.check("#take-belt-replace-engine")
    page.wait_for_selector("#estimate [role=alert]")
    assert "Your switches were on for: Replace drive belt." in page.inner_text("#estimate [role=alert]")
    assert page.is_hidden("#live-problem")
    page.wait_for_timeout(300)  # until all has settled
    assert 0 < top_of(page, "#estimate [role=alert]") < 700, "the refusal is out of sight"
    assert not page.is_checked("#take-belt-replace-engine")
    assert not job.choices.filter(included=True).exists()
