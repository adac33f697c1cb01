"""What may be hidden, weighed, for the writer; and the worksheet. Neither tells what the other must not."""

from decimal import ROUND_HALF_UP, Decimal

import pytest

pytestmark = pytest.mark.django_db

JOB = "jobs/J1001/"


def test_the_expected_total_lies_between_firm_and_ceiling_by_the_likelihood_and_in_no_document(ask, job):
    draft = ask(f"{JOB}estimate/").json()
    hidden = ask(f"{JOB}hidden/").json()
    # Another heater was only advised: what its repair may bring is not in the ceiling either.
    (likely,) = hidden["items"]
    assert likely["key"] in [item["key"] for item in draft["groups"]["contingent"]]
    assert (likely["where"], likely["weighed"], hidden["exact"]) == ("cylinder 3", True, True)
    firm, ceiling = (Decimal(draft["totals"][name]["with_tax"]) for name in ("firm", "ceiling"))
    chance = Decimal(likely["percent"]) / 100
    mean = firm + chance * (ceiling - firm)
    assert Decimal(hidden["expected"]) == mean.quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(hidden["nothing_percent"]) == 100 - Decimal(likely["percent"])
    written = ask(f"{JOB}estimate/").content.decode() + ask(f"{JOB}worksheet/").content.decode()
    for word in ("likelihood", "odds", 'percent":"5', "weighed", hidden["expected"]):
        assert word not in written


def test_where_nothing_may_be_hidden_it_is_said(ask, send, job):
    send("delete", f"{JOB}readings/heater-ohm/3/before/")
    hidden = ask(f"{JOB}hidden/").json()
    assert (hidden["expected"], hidden["items"], hidden["ways"]) == (None, [], 0)
    assert hidden["notes"] == [
        "Nothing in this estimate depends on what is found: the firm total is what it comes to."
    ]


def test_the_worksheet_of_a_draft_says_that_nothing_is_agreed_to(ask, as_stranger, job):
    sheet = ask(f"{JOB}worksheet/").json()
    assert sheet["said"] == "Nothing is agreed to yet: this is the firm work of the draft."
    assert [(one["test_point"], one["position"]) for one in sheet["readings"]] == [("heater-ohm", "3")]
    assert as_stranger.get(f"/api/v1/{JOB}worksheet/").status_code == 401
    assert as_stranger.get(f"/api/v1/{JOB}hidden/").status_code == 401
