"""Estimates: the draft, issuing it, and reading it again byte for byte as it was frozen."""

import hashlib
import json
from datetime import timedelta
from io import BytesIO
from typing import Any

import pikepdf
import pytest
import rfc8785
from django.utils import timezone

from estimates.issuing import issue
from estimates.models import Finding, IssuedEstimate, IssuedFile, Job
from shop.models import Event, IdempotencyKey

pytestmark = pytest.mark.django_db

JOB = "jobs/J1001/"


@pytest.fixture
def issued(job, owner):
    """Revision 1 of E-J1001."""
    return issue(job, by=owner, at=timezone.localtime())


def text_of(pdf: bytes) -> list[str]:
    """What a PDF says of itself: its title."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        return [str(opened.docinfo.get("/Title", ""))]


# The draft


def test_the_draft_is_what_would_be_issued_now(ask, job):
    body = ask(f"{JOB}estimate/").json()
    assert body["number"] == "E-J1001"
    assert body["revision"] == 1
    assert body["problems"] == []
    assert [item["key"] for item in body["groups"]["optional"]] == ["swap-heater@4"]
    assert body["groups"]["firm"]
    assert Finding.objects.count() == 1, "nothing computed is stored"


def test_the_draft_and_its_totals_add_up(ask, job):
    """EN 16931, BR-CO-13 and BR-CO-15: total without tax = lines + charges; with tax = that + tax."""
    from decimal import Decimal

    for total in ask(f"{JOB}estimate/").json()["totals"].values():
        assert Decimal(total["lines"]) + Decimal(total["charges"]) == Decimal(total["without_tax"])
        assert Decimal(total["without_tax"]) + Decimal(total["tax_sum"]) == Decimal(total["with_tax"])
        assert sum(Decimal(tax["amount"]) for tax in total["tax"]) == Decimal(total["tax_sum"])


def test_a_draft_that_cannot_be_issued_says_why(ask, send, job):
    for path in ("readings/heater-ohm/1/before/", "readings/heater-ohm/3/before/", "findings/heater/4/"):
        send("delete", JOB + path)
    (stop,) = ask(f"{JOB}estimate/").json()["problems"]
    assert stop["what"] == "has no lines"
    answer = send("post", f"{JOB}estimates/")
    assert answer.status_code == 422
    assert answer.json()["errors"] == [stop]
    assert IssuedEstimate.objects.count() == 0


def test_a_draft_without_a_workshop_is_a_problem(ask, catalogue, job_file, owner):
    from estimates.actions import keep_job
    from estimates.jobfile import job_from

    now = timezone.localtime()
    keep_job(job_from(job_file, now.date())[0], by=owner, at=now)
    answer = ask(f"{JOB}estimate/")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["where"] == "workshop"


def test_the_draft_comes_as_a_pdf_where_that_is_asked_for(ask, job):
    answer = ask(f"{JOB}estimate/", headers={"Accept": "application/pdf"})
    assert answer["Content-Type"] == "application/pdf"
    assert "E-J1001-draft.pdf" in answer["Content-Disposition"]
    assert "Accept" in answer["Vary"]
    assert "E-J1001" in text_of(answer.content)[0]


# Issuing


def test_issuing_freezes_the_draft(ask, send, job):
    draft = ask(f"{JOB}estimate/").json()
    answer = send("post", f"{JOB}estimates/")
    assert answer.status_code == 201
    assert answer["Location"] == "http://testserver/api/v1/estimates/E-J1001/1/"
    frozen = ask("estimates/E-J1001/1/").json()
    assert {**frozen, "problems": []} == draft
    assert answer.json()["firm_total"] == frozen["totals"]["firm"]["with_tax"]
    assert Event.objects.get(what="estimate-issued").by.username == "olga"


def test_the_job_tells_what_was_issued_and_how_it_stands(ask, send, job):
    send("post", f"{JOB}estimates/")
    send("post", f"{JOB}estimates/")
    rows = ask(JOB).json()["estimates"]
    assert [(row["revision"], row["state"], row["replaced_by"]) for row in rows] == [
        (1, "replaced", 2),
        (2, "issued", None),
    ]


def test_issuing_again_with_the_tag_of_before_is_412(ask, send, job):
    seen = ask(JOB)["ETag"]
    assert send("post", f"{JOB}estimates/", tag=seen).status_code == 201
    assert send("post", f"{JOB}estimates/", tag=seen).status_code == 412
    assert IssuedEstimate.objects.count() == 1


def test_issuing_again_with_the_same_key_is_the_first_answer(as_owner, ask, job):
    headers = {"If-Match": ask(JOB)["ETag"], "Idempotency-Key": "0b1e"}
    first, again = (as_owner.post(f"/api/v1/{JOB}estimates/", headers=headers) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert again["Location"] == first["Location"]
    assert IssuedEstimate.objects.count() == 1


def test_a_refused_issue_leaves_its_key_free(as_owner, ask, job):
    answer = as_owner.post(f"/api/v1/{JOB}estimates/", headers={"If-Match": '"x"', "Idempotency-Key": "0b1e"})
    assert answer.status_code == 412
    assert IdempotencyKey.objects.count() == 0


def test_the_same_request_while_the_first_is_being_answered_is_409(as_owner, ask, job, monkeypatch):
    """After the IETF draft "The Idempotency-Key HTTP Header Field", 2.7: 409 while the first is processed."""
    from estimates import issuing

    render, headers = issuing.render_pdf, {"If-Match": ask(JOB)["ETag"], "Idempotency-Key": "0b1e"}
    meanwhile = []

    def slow(*args: Any, **kwargs: Any) -> bytes:
        monkeypatch.setattr(issuing, "render_pdf", render)
        meanwhile.append(as_owner.post(f"/api/v1/{JOB}estimates/", headers=headers))
        return render(*args, **kwargs)

    monkeypatch.setattr(issuing, "render_pdf", slow)
    assert as_owner.post(f"/api/v1/{JOB}estimates/", headers=headers).status_code == 201
    assert [answer.status_code for answer in meanwhile] == [409]
    assert IssuedEstimate.objects.count() == 1


@pytest.mark.parametrize(("age", "status"), [(timedelta(minutes=4), 409), (timedelta(minutes=6), 201)])
def test_a_key_that_a_dead_process_left_behind_is_free_again(as_owner, ask, job, age, status):
    headers = {"If-Match": ask(JOB)["ETag"], "Idempotency-Key": "0b1e"}
    assert as_owner.post(f"/api/v1/{JOB}estimates/", headers=headers).status_code == 201
    IdempotencyKey.objects.update(status=0, at=timezone.now() - age)
    headers["If-Match"] = ask(JOB)["ETag"]
    assert as_owner.post(f"/api/v1/{JOB}estimates/", headers=headers).status_code == status


def test_two_who_issue_at_once_make_one_revision(send, job, owner, monkeypatch):
    """The other one is done between our look and our write; the job itself did not change."""
    from estimates import issuing

    render = issuing.render_pdf

    def slow(*args: Any, **kwargs: Any) -> bytes:
        monkeypatch.setattr(issuing, "render_pdf", render)
        issue(Job.objects.get(), by=owner, at=timezone.localtime())
        return render(*args, **kwargs)

    monkeypatch.setattr(issuing, "render_pdf", slow)
    answer = send("post", f"{JOB}estimates/")
    assert answer.status_code == 412
    assert [row["revision"] for row in answer.json()["current"]["estimates"]] == [1]
    assert IssuedEstimate.objects.count() == 1


def test_a_machine_without_the_pdf_library_says_so_and_issues_nothing(send, job, monkeypatch):
    from estimates import issuing
    from estimates.documents.pdf import PdfUnavailable

    def missing(*args: Any, **kwargs: Any) -> bytes:
        raise PdfUnavailable("PDF: the text layout library Pango is missing")

    monkeypatch.setattr(issuing, "render_pdf", missing)
    answer = send("post", f"{JOB}estimates/")
    assert answer.status_code == 503
    assert "Pango" in answer.json()["detail"]
    assert IssuedEstimate.objects.count() == 0


# What was issued


def test_the_document_is_answered_byte_for_byte(ask, issued):
    answer = ask("estimates/E-J1001/1/")
    assert answer.content == issued.document.encode()
    assert hashlib.sha256(answer.content).hexdigest() == issued.sha256
    assert answer["ETag"] == f'"{issued.sha256}"'
    assert answer["Content-Type"] == "application/json"
    # RFC 8785 is what makes the hash mean the content: writing it again gives the same bytes.
    assert rfc8785.dumps(json.loads(answer.content)) == answer.content


def test_the_document_stays_while_the_job_moves_on(ask, job, issued, owner):
    before = ask("estimates/E-J1001/1/").content
    Finding.objects.all().delete()
    Job.objects.update(complaint="something else")
    assert ask("estimates/E-J1001/1/").content == before


def test_the_pdf_is_the_one_that_was_kept(ask, issued):
    answer = ask("estimates/E-J1001/1/pdf/", headers={"Accept": "application/pdf"})
    kept = IssuedFile.objects.get(media_type="application/pdf")
    assert answer.content == bytes(kept.content)
    assert answer["ETag"] == f'"{kept.sha256}"'
    assert answer["Content-Type"] == "application/pdf"
    assert kept.name in answer["Content-Disposition"]
    assert "E-J1001" in text_of(answer.content)[0]


@pytest.mark.parametrize("path", ["estimates/E-J1001/1/", "estimates/E-J1001/1/pdf/"])
def test_who_holds_it_gets_304(ask, issued, path):
    tag = ask(path)["ETag"]
    answer = ask(path, headers={"If-None-Match": tag})
    assert (answer.status_code, answer.content, answer["ETag"]) == (304, b"", tag)


@pytest.mark.parametrize(
    "path",
    ["E-J1001/2/", "E-J1001/0/", "E-J1002/1/", "E-J1001/2/pdf/", "E%00/1/", "E%00/1/pdf/",
     "E-J1001/99999999999999999999/", "E-J1001/one/"],
)  # fmt: skip
def test_an_estimate_that_is_not_there_is_a_problem(ask, issued, path):
    answer = ask(f"estimates/{path}")
    assert answer.status_code == 404
    assert answer["Content-Type"] == "application/problem+json"


def test_a_pdf_in_json_is_406(ask, issued):
    answer = ask("estimates/E-J1001/1/pdf/", headers={"Accept": "application/json"})
    assert answer.status_code == 406
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("method", ["put", "patch", "delete"])
def test_nothing_that_was_issued_can_be_written(as_owner, issued, method):
    assert getattr(as_owner, method)("/api/v1/estimates/E-J1001/1/", {}).status_code == 405


def test_a_stranger_sees_no_estimate(as_stranger, issued):
    for path in ("", "E-J1001/1/", "E-J1001/1/pdf/"):
        assert as_stranger.get(f"/api/v1/estimates/{path}").status_code == 401


# The list


@pytest.fixture
def standing(workshop, job_file, owner):
    """J1001: revision 1 replaced by 2, which stands; J1002: expired. Issued today, ten and forty days ago."""
    from estimates.actions import keep_job
    from estimates.jobfile import job_from

    now = timezone.localtime()
    first, second = (keep_job(job_from(job_file, now.date())[0], by=owner, at=now) for _ in range(2))
    issue(first, by=owner, at=now - timedelta(days=10))
    issue(first, by=owner, at=now)
    issue(second, by=owner, at=now - timedelta(days=40))
    return now.date()


def listed(answer: Any) -> list[str]:
    assert answer.status_code == 200, answer.content
    return [f"{row['job']}/{row['revision']} {row['state']}" for row in answer.json()["results"]]


ALL = ["J1001/1 replaced", "J1001/2 issued", "J1002/1 expired"]


@pytest.mark.parametrize(
    ("query", "rows"),
    [
        ({}, ALL),
        ({"state": "issued"}, ALL[1:2]),
        ({"state": "expired"}, ALL[2:]),
        ({"state": "replaced"}, ALL[:1]),
        ({"job": "J1001"}, ALL[:2]),
        ({"number": "E-J1002"}, ALL[2:]),
        ({"number": "E-J1001", "revision": "2"}, ALL[1:2]),
        ({"currency": "EUR"}, ALL),
        ({"currency": "JPY"}, []),
        ({"issued_by": "olga"}, ALL),
        ({"firm_total__gte": "100000"}, []),
    ],
)
def test_the_list_is_filtered(ask, standing, query, rows):
    assert listed(ask("estimates/", **query)) == rows


@pytest.mark.parametrize(
    ("name", "days", "rows"),
    [
        ("issued_on", 10, ALL[:1]),
        ("issued_on__gte", 10, ALL[:2]),
        ("issued_on__gte", 9, ALL[1:2]),
        ("issued_on__lte", 10, [ALL[0], ALL[2]]),
        ("issued_on__lte", 11, ALL[2:]),
    ],
)
def test_the_list_is_filtered_by_the_day_of_issue(ask, standing, name, days, rows):
    assert listed(ask("estimates/", **{name: str(standing - timedelta(days=days))})) == rows


def test_an_estimate_stands_on_its_last_day_and_not_after(ask, job, owner):
    """The demonstration workshop's estimates are valid for 30 days: its last day is the thirtieth."""
    now = timezone.localtime()
    row = issue(job, by=owner, at=now - timedelta(days=30))
    assert row.valid_until == now.date()
    assert listed(ask("estimates/")) == ["J1001/1 issued"]
    issue(job, by=owner, at=now - timedelta(days=31))
    assert listed(ask("estimates/")) == ["J1001/1 replaced", "J1001/2 expired"]


@pytest.mark.parametrize("query", [{"state": "open"}, {"job": "J9"}, {"issued_on": "today"}, {"colour": "x"}])
def test_a_filter_that_names_nothing_is_refused(ask, standing, query):
    assert ask("estimates/", **query).status_code == 400


# Building without keeping


def test_an_estimate_is_built_from_a_job_file_and_nothing_is_kept(as_colleague, workshop, job_file):
    answer = as_colleague.post("/api/v1/estimates/build/", job_file)
    assert answer.status_code == 200
    assert answer.json()["customer"]["name"] == "Harrow Boats"
    assert answer.json()["problems"] == []
    assert (Job.objects.count(), Event.objects.count(), IssuedEstimate.objects.count()) == (0, 0, 0)


def test_a_built_estimate_is_the_draft_of_the_same_job(as_colleague, ask, job, job_file):
    built = as_colleague.post("/api/v1/estimates/build/", {**job_file, "number": "J1001"}).json()
    draft = ask(f"{JOB}estimate/").json()
    draft["customer"]["number"] = ""  # given when the customer was put on record
    assert built == draft


def test_it_is_built_as_a_pdf_where_that_is_asked_for(as_colleague, workshop, job_file):
    headers = {"Accept": "application/pdf"}
    answer = as_colleague.post("/api/v1/estimates/build/", job_file, headers=headers)
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")
    assert Job.objects.count() == 0


def test_what_could_not_be_issued_is_not_put_on_paper(as_colleague, workshop, job_file):
    headers = {"Accept": "application/pdf"}
    bare = {"complaint": "x", "unit": job_file["unit"]}
    answer = as_colleague.post("/api/v1/estimates/build/", bare, headers=headers)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("change", [{"complaint": ""}, {"unit": {}}, {"x": 1}, {"readings": "none"}])
def test_a_wrong_job_file_is_not_built(as_colleague, workshop, job_file, change):
    answer = as_colleague.post("/api/v1/estimates/build/", {**job_file, **change})
    assert answer.status_code == 422
    assert answer.json()["errors"]


def test_a_stranger_builds_nothing(as_stranger, workshop, job_file):
    assert as_stranger.post("/api/v1/estimates/build/", job_file).status_code == 401
