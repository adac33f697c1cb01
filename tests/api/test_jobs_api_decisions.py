"""Choosing, deciding, private links, what is authorised and what waits, over the API."""

from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone
from test_jobs_api_document import check_against

from estimates.issuing import issue
from estimates.models import CustomerLink, Decision

pytestmark = pytest.mark.django_db
ISSUED = "estimates/E-J1001/1/"
PATH = "estimates/{number}/{revision}/"


@pytest.fixture
def document(as_stranger):
    return as_stranger.get("/api/v1/schema/").json()


@pytest.fixture
def issued(job, owner):
    return issue(job, by=owner, at=timezone.localtime())


def keys(answer, *groups):
    return [item["key"] for group in groups for item in answer.json()["groups"][group] if not item["done"]]


def test_an_estimate_is_chosen_from_decided_on_and_remembered(
    document, as_owner, as_colleague, ask, send, issued
):
    read = ask(ISSUED)
    firm = [key for key in keys(read, "firm") if key != "access"]
    (optional,) = keys(read, "optional")

    def post(path, body, who=as_owner):
        return who.post(f"/api/v1/{ISSUED}{path}", body)

    # anybody signed in may ask what a choice comes to; whoever may write records it
    choice = post("choice/", {"accepted": [*firm, optional]}, as_colleague)
    check_against(document, "post", f"{PATH}choice/", 200, choice.content)
    adds = read.json()["groups"]["optional"][0]["adds"]
    firm_total = read.json()["totals"]["firm"]["with_tax"]
    assert Decimal(choice.json()["agreed"]) == Decimal(firm_total) + Decimal(adds)
    for wrong in ({"accepted": ["x"]}, {"accepted": "x"}, {}, {"accepted": [], "more": 1}):
        answer = post("choice/", wrong)
        assert (answer.status_code, answer["Content-Type"]) == (422, "application/problem+json")
    told = {"accepted": firm, "name": "Ida Harrow", "sha256": issued.sha256}
    assert post("decisions/", told, as_colleague).status_code == 403
    assert post("decisions/", {**told, "sha256": "0" * 64}).status_code == 422
    assert ask(f"{ISSUED}receipt/").status_code == 404
    assert not Decision.objects.exists()
    again = {"headers": {"Idempotency-Key": "d1"}}
    recorded = [as_owner.post(f"/api/v1/{ISSUED}decisions/", told, **again) for _ in range(2)]
    assert [answer.status_code for answer in recorded] == [201, 201]
    assert Decision.objects.count() == 1
    check_against(document, "post", f"{PATH}decisions/", 201, recorded[0].content)
    receipt = ask(f"{ISSUED}receipt/")
    check_against(document, "get", f"{PATH}receipt/", 200, receipt.content)
    assert receipt.json() == recorded[0].json() == ask(f"{ISSUED}decisions/").json()["decisions"][0]
    assert (receipt.json()["state"], receipt.json()["authorised"]) == ("accepted", firm_total)
    assert ask(f"{ISSUED}receipt/", {"Accept": "application/pdf"}).content.startswith(b"%PDF-")
    for query, count in (({"state": "accepted"}, 1), ({"state": "issued"}, 0), ({}, 1)):
        rows = ask("estimates/", **query).json()["results"]
        assert [row["state"] for row in rows] == ["accepted"] * count
    held = ask("jobs/J1001/authorised/")
    check_against(document, "get", "jobs/{number}/authorised/", 200, held.content)
    assert (held.json()["may_go_on"], held.json()["now"]) == (True, firm_total)
    later = ask("jobs/J1001/later/")
    check_against(document, "get", "jobs/{number}/later/", 200, later.content)
    (waits,) = later.json()["waiting"]
    assert (waits["component"], waits["position"], waits["why"], waits["added"]) == (
        "heater",
        "4",
        "advisory",
        adds,
    )
    stale = send("post", f"jobs/J1001/later/{waits['id']}/give-up/", tag='"old"')
    assert stale.status_code == 412
    assert send("post", f"jobs/J1001/later/{waits['id']}/take-in/").status_code == 422  # a finding already
    assert send("post", f"jobs/J1001/later/{waits['id']}/give-up/").status_code == 200
    assert ask("jobs/J1001/later/").json() == {"waiting": []}
    assert send("post", f"jobs/J1001/later/{waits['id']}/give-up/").status_code == 404


def test_a_link_is_told_once_and_stops_when_it_is_revoked(document, as_owner, as_colleague, ask, issued):
    assert as_colleague.post(f"/api/v1/{ISSUED}links/").status_code == 403
    made = as_owner.post(f"/api/v1/{ISSUED}links/")
    check_against(document, "post", f"{PATH}links/", 201, made.content)
    assert made["Cache-Control"] == "no-store, private"
    address = made.json()["address"].partition("//")[2].partition("/")[2]
    assert Client().get(f"/{address}").status_code == 200
    listed = ask(f"{ISSUED}links/")
    secret = address.split("/")[1]
    assert [link["id"] for link in listed.json()["links"]] == [made.json()["id"]]
    assert secret not in listed.content.decode()
    assert secret not in str(CustomerLink.objects.values())
    assert as_owner.delete(f"/api/v1/{ISSUED}links/{made.json()['id']}/").status_code == 204
    assert Client().get(f"/{address}").status_code == 404
    assert as_owner.delete(f"/api/v1/{ISSUED}links/999/").status_code == 404
