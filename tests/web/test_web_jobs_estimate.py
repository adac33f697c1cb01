"""The estimate on the page of a job, added up by hand, and its switches."""

import re
from typing import Any

import pytest
from desk import advise_belt, measure_dead_plug, post, read, version, words
from django.test import Client
from floor import lay_out

from estimates.models import DraftChoice, Job
from shop.models import Workshop

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_the_firm_total_can_be_added_up_by_hand(colleague: Client):
    """Tests 6 + 7 x 2 at the connector and 6 at the plug, cover 40 once, plug 20: 86 min.

    86 min are 1.433 h, billed 1.4 h at 90.00: 126.00. Plug 16.00 and gasket 22.00, both with 50 % on top:
    24.00 and 33.00. 183.00 without tax, 20 % tax 36.60, together 219.60. Worked out by hand.
    """
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    text = page(colleague, job)
    assert "86 min, billed as 1.4 h in steps of 0.1 h at 90.00 EUR an hour, 126.00 EUR" in text
    assert "Total without tax 183.00" in text
    assert "Firm 219.60 EUR" in text


def test_what_may_break_stands_under_only_if_found_on_opening(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    text = page(colleague, job)
    start = text.index("Only if found on opening Not in the firm price.")
    assert "Extract a broken glow plug, cylinder 3" in text[start:]
    assert "Only if the plug breaks while it is unscrewed." in text[start:]


def test_a_switch_takes_an_item_into_the_firm_price_and_out_again(colleague: Client):
    """The belt: 22 min more are 108 min, 1.8 h, 162.00; parts 57.00 + 27.00; 246.00, with tax 295.20."""
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    advise_belt(colleague, job)
    assert "adds 75.60 EUR" in page(colleague, job)
    assert post(colleague, job, "choices", include=[BELT])["Location"] == f"/jobs/{job.pk}/#estimate"
    text = page(colleague, job)
    assert "Firm 295.20 EUR" in text
    assert "Was “if you wish”; now part of the firm work." in text
    post(colleague, job, "choices", include=[])
    assert "Firm 219.60 EUR" in page(colleague, job)


def test_a_switch_used_live_is_answered_with_the_estimate_and_the_new_version(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    advise_belt(colleague, job)
    data = {"version": version(job), "include": [BELT]}
    answer = colleague.post(f"/jobs/{job.pk}/choices/", data, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert "<html" not in text
    assert "Firm total now 295.20 EUR" in words(answer)
    # Every other form on the page learns the version, or its next use would be refused.
    renewed = re.findall(r'name="version" value="(\d+)" id="version-([a-z-]+)"[^>]* hx-swap-oob="true"', text)
    assert {number for number, _ in renewed} == {str(version(job))}
    whole = colleague.get(f"/jobs/{job.pk}/", {"test": "at-plug"}).content.decode()
    outside = whole[: whole.index('<div id="priced">')] + whole[whole.index('<section id="decision"') :]
    assert {name for _, name in renewed} == set(re.findall(r'id="version-([a-z-]+)"', outside))


def test_a_switch_on_an_outdated_page_changes_nothing_and_says_what_was_wanted(
    colleague: Client, owner: Client
):
    job = lay_out().job()
    advise_belt(colleague, job)
    seen = version(job)
    read(owner, job, "relay-lamp", {"engine": "on"})
    for headers in ({}, {"HX-Request": "true"}):
        data = {"version": seen, "include": [BELT]}
        answer = colleague.post(f"/jobs/{job.pk}/choices/", data, headers=headers)
        assert answer.status_code == 409
        assert "Your switches were on for: Replace drive belt." in words(answer)
        assert 'hx-swap-oob="true"' not in answer.content.decode()
    assert not DraftChoice.objects.filter(included=True).exists()


def test_a_switch_for_an_item_that_is_not_in_the_estimate_is_not_found(colleague: Client):
    job = lay_out().job()
    assert post(colleague, job, "choices", include=["no-such"]).status_code == 404


def test_a_part_that_hangs_on_an_unknown_fact_is_to_be_confirmed(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "relay-lamp", {"engine": "off"})
    text = page(colleague, job)
    assert "To be confirmed." in text
    assert "the heater connector" in text


def test_a_finding_that_nothing_repairs_is_an_open_point(colleague: Client):
    job = lay_out().job()
    found = {"component": "clip", "position": "A", "standing": "confirmed", "quantity": "3"}
    post(colleague, job, "findings", **found, reason="broke when pulled")
    assert "Open points Retainer clips, bank A:" in page(colleague, job)


def test_shared_teardown_is_explained(colleague: Client):
    # The cover (40 min) serves the test at the plug and the plug's replacement: by themselves 126 min.
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    said = "Each item by itself would come to 126 min; shared teardown is counted once, which saves 40 min."
    assert said in page(colleague, job)


def test_without_a_workshop_the_page_says_what_is_missing(colleague: Client):
    job = lay_out().job()
    Workshop.objects.all().delete()
    answer = colleague.get(f"/jobs/{job.pk}/")
    assert answer.status_code == 200
    assert "There is no estimate yet. Workshop: it is not set up yet." in words(answer)


@pytest.mark.databases("sqlite", "postgresql")
def test_the_page_asks_the_database_as_often_for_a_full_job_as_for_a_small_one(
    colleague: Client, django_assert_max_num_queries: Any
):
    floor = lay_out()
    small, full = floor.job(), floor.job()
    measure_dead_plug(colleague, small)
    advise_belt(colleague, small)
    measure_dead_plug(colleague, full)
    advise_belt(colleague, full)
    read(colleague, full, "at-plug", {"5": "open", "6": "open", "7": "0.90"})
    read(colleague, full, "relay-lamp", {"engine": "off"})
    for place in "1278":
        found = {"component": "lead", "position": place, "standing": "suspected", "quantity": "1"}
        post(colleague, full, "findings", **found, reason="chafed")
    for job in (small, full):
        post(colleague, job, "issue")
    post(colleague, full, "issue")
    with django_assert_max_num_queries(200) as counted:
        colleague.get(f"/jobs/{small.pk}/", {"test": "at-plug"})
    with django_assert_max_num_queries(len(counted)):
        colleague.get(f"/jobs/{full.pk}/", {"test": "at-plug"})
    assert len(counted) <= 61
