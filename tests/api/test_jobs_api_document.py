"""Jobs and estimates in the OpenAPI document, answers held against it, and what they cost the database."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from test_openapi import closed, operations

from estimates.actions import keep_job
from estimates.api.estimate_rows import EstimateFilter
from estimates.api.jobs import JobFilter
from estimates.issuing import issue
from estimates.jobfile import job_from
from estimates.models import IssuedEstimate, Job

pytestmark = pytest.mark.django_db

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
V1 = "/api/v1/"
READ = {
    "jobs/": "jobs/",
    "jobs/{number}/": "jobs/J1001/",
    "jobs/{number}/estimate/": "jobs/J1001/estimate/",
    "jobs/{number}/estimate/explanation/": "jobs/J1001/estimate/explanation/",
    "jobs/{number}/next-tests/": "jobs/J1001/next-tests/",
    "jobs/{number}/sourcing/": "jobs/J1001/sourcing/",
    "estimates/": "estimates/",
    "estimates/{number}/{revision}/": "estimates/E-J1001/1/",
    "estimates/{number}/{revision}/decisions/": "estimates/E-J1001/1/decisions/",
    "estimates/{number}/{revision}/links/": "estimates/E-J1001/1/links/",
    "jobs/{number}/authorised/": "jobs/J1001/authorised/",
    "jobs/{number}/later/": "jobs/J1001/later/",
}
PDFS = (
    "jobs/{number}/estimate/",
    "jobs/{number}/worksheet/",
    "estimates/{number}/{revision}/pdf/",
    "estimates/build/",
)
WRITTEN = {
    ("patch", "jobs/{number}/unit/"),
    ("post", "jobs/{number}/readings/"),
    ("delete", "jobs/{number}/readings/{test_point}/{position}/{phase}/"),
    ("post", "jobs/{number}/findings/"),
    ("delete", "jobs/{number}/findings/{component}/{position}/"),
    ("post", "jobs/{number}/factors/"),
    ("delete", "jobs/{number}/factors/{step}/{position}/"),
    ("post", "jobs/{number}/hand-lines/"),
    ("delete", "jobs/{number}/hand-lines/{key}/"),
    ("post", "jobs/{number}/discounts/"),
    ("delete", "jobs/{number}/discounts/{item}/"),
    ("post", "jobs/{number}/payments/"),
    ("patch", "jobs/{number}/sourcing/"),
    ("put", "jobs/{number}/items/{key}/"),
    ("post", "jobs/{number}/estimates/"),
    ("post", "jobs/{number}/later/{key}/take-in/"),
    ("post", "jobs/{number}/later/{key}/give-up/"),
}
AFTER_WORK = {
    ("post", "jobs/{number}/purchases/"),
    ("post", "jobs/{number}/receipts/"),
    ("put", "jobs/{number}/work/"),
    ("post", "jobs/{number}/closing/"),
}
"""They are changes like the others, and answer with what they are about."""
ON_ISSUED = {
    ("post", "estimates/{number}/{revision}/choice/"),
    ("post", "estimates/{number}/{revision}/decisions/"),
    ("post", "estimates/{number}/{revision}/links/"),
    ("delete", "estimates/{number}/{revision}/links/{link}/"),
}
"""An issued estimate never changes, so there is no state of it to have seen."""
CREATED = {("post", "jobs/"), ("post", "jobs/{number}/estimates/")}


@pytest.fixture
def document(as_stranger: Any) -> dict[str, Any]:
    return as_stranger.get("/api/v1/schema/").json()


@pytest.fixture
def issued(job, owner):
    return issue(job, by=owner, at=timezone.localtime())


def check_against(document: dict[str, Any], method: str, path: str, status: int, content: bytes) -> None:
    """The answer has the members that are documented, and no others; and no number in it is binary."""
    responses = document["paths"][V1 + path][method]["responses"]
    schema = responses[str(status)]["content"]["application/json"]["schema"]
    strict = closed({**schema, "components": document["components"]})
    jsonschema.validate(exact(content), strict, jsonschema.Draft202012Validator)


def exact(content: bytes) -> Any:
    def fail(text: str) -> None:
        raise AssertionError(f"{text} would be read as a binary number")

    return json.loads(content, parse_float=fail, parse_constant=fail)


def parameters(operation: dict[str, Any], place: str) -> dict[str, bool]:
    return {p["name"]: p.get("required", False) for p in operation["parameters"] if p["in"] == place}


# The document


@pytest.mark.databases("sqlite")
def test_every_change_documents_its_preconditions(document):
    for method, path in WRITTEN | AFTER_WORK:
        operation = document["paths"][V1 + path][method]
        assert parameters(operation, "header")["If-Match"] is True, path
        for status in ("412", "428"):
            content = operation["responses"][status]["content"]["application/problem+json"]
            assert content["schema"] == {"$ref": "#/components/schemas/Problem"}


@pytest.mark.databases("sqlite")
def test_no_write_is_forgotten_here(document):
    found = {
        (method, path.removeprefix(V1))
        for path, method, _ in operations(document)
        if path.startswith((f"{V1}jobs/", f"{V1}estimates/")) and method != "get"
    }
    assert found == WRITTEN | AFTER_WORK | CREATED | ON_ISSUED | {("post", "estimates/build/")}


@pytest.mark.databases("sqlite")
def test_what_is_answered_after_a_change_is_documented_with_its_tag(document):
    for method, path in WRITTEN - CREATED:
        response = document["paths"][V1 + path][method]["responses"]["200"]
        assert {"ETag", "Content-Location"} <= response["headers"].keys()
        assert response["content"]["application/json"]["schema"] == {"$ref": "#/components/schemas/Job"}


@pytest.mark.databases("sqlite")
def test_creates_document_their_key_and_where_the_new_one_is(document):
    for method, path in CREATED:
        operation = document["paths"][V1 + path][method]
        assert "Idempotency-Key" in parameters(operation, "header")
        assert "Location" in operation["responses"]["201"]["headers"]
        assert "200" not in operation["responses"]
    assert "ETag" in document["paths"][f"{V1}jobs/"]["post"]["responses"]["201"]["headers"]


@pytest.mark.databases("sqlite")
def test_pdfs_are_documented_as_such(document):
    for path in PDFS:
        (operation,) = document["paths"][V1 + path].values()
        schema = operation["responses"]["200"]["content"]["application/pdf"]["schema"]
        assert schema == {"type": "string", "format": "binary"}


@pytest.mark.databases("sqlite")
def test_a_stale_change_is_a_problem_as_documented(document, send, job):
    schema = {**document["components"]["schemas"]["Problem"], "components": document["components"]}
    for tag in ("", '"old"'):
        answer = send("patch", "jobs/J1001/unit/", {"serial": ""}, tag=tag)
        jsonschema.validate(exact(answer.content), schema, jsonschema.Draft202012Validator)


# Answers


@pytest.mark.parametrize("path", READ)
def test_what_is_read_is_what_is_documented(document, ask, issued, path):
    answer = ask(READ[path])
    assert answer.status_code == 200
    check_against(document, "get", path, 200, answer.content)


def test_what_is_written_is_answered_as_documented(document, as_owner, send, workshop, job_file):
    set_by_hand = {
        "lines": [{"text": "Pressure test", "category": "bought-in", "unit_price": "80"}],
        "discounts": [{"percent": "5", "reason": "regular customer"}],
        "payments": [{"amount": "20", "how": "cash", "received_on": "2026-01-05"}],
    }
    created = as_owner.post("/api/v1/jobs/", {**job_file, **set_by_hand})
    check_against(document, "post", "jobs/", 201, created.content)
    changed = send("patch", "jobs/J1001/unit/", {"serial": "NA000100"})
    check_against(document, "patch", "jobs/{number}/unit/", 200, changed.content)
    issued = send("post", "jobs/J1001/estimates/")
    check_against(document, "post", "jobs/{number}/estimates/", 201, issued.content)


@pytest.mark.parametrize(
    "name", ["v8-rough-cold-start", "inline-six-serial-unknown", "inline-four-charging-fault"]
)
def test_a_whole_job_of_the_demonstration_goes_through(document, as_owner, demonstration, name):
    """Written down, drafted, issued and read again, as a client would; every answer as documented."""
    file = json.loads((FIXTURES / "jobs" / f"{name}.json").read_text(encoding="utf-8"))
    created = as_owner.post("/api/v1/jobs/", file, headers={"Idempotency-Key": "a"})
    assert created.status_code == 201, created.content
    check_against(document, "post", "jobs/", 201, created.content)
    number = created.json()["number"]
    draft = as_owner.get(f"/api/v1/jobs/{number}/estimate/")
    check_against(document, "get", "jobs/{number}/estimate/", 200, draft.content)
    advice = as_owner.get(f"/api/v1/jobs/{number}/next-tests/")
    check_against(document, "get", "jobs/{number}/next-tests/", 200, advice.content)
    for more in ("worksheet", "hidden"):
        answer = as_owner.get(f"/api/v1/jobs/{number}/{more}/")
        check_against(document, "get", f"jobs/{{number}}/{more}/", 200, answer.content)
    built = as_owner.post("/api/v1/estimates/build/", file)
    check_against(document, "post", "estimates/build/", 200, built.content)
    assert built.json()["totals"] == draft.json()["totals"]
    stated = as_owner.post(f"/api/v1/jobs/{number}/estimates/", headers={"If-Match": created["ETag"]})
    if draft.json()["problems"]:
        assert stated.status_code == 422
        return
    assert stated.status_code == 201, stated.content
    frozen = as_owner.get(stated["Location"])
    check_against(document, "get", "estimates/{number}/{revision}/", 200, frozen.content)
    assert frozen.json()["totals"] == draft.json()["totals"]


@pytest.fixture
def demonstration(db: None) -> None:
    from catalog.actions import import_pack
    from shop.actions import set_up_workshop

    import_pack(FIXTURES / "demo")
    set_up_workshop(FIXTURES / "workshop.json")


# Forgotten things


@pytest.mark.parametrize(("model", "filters"), [(Job, JobFilter), (IssuedEstimate, EstimateFilter)])
def test_every_field_has_a_filter_or_a_reason_to_have_none(model, filters):
    aliases = {"job": "job", "issued_at": "issued_at"}
    filtered = {f.field_name.split("__")[0] for f in filters.base_filters.values() if f.field_name}
    fields = {field.name for field in model._meta.fields} - {"id"}
    assert fields - filtered - aliases.keys() == filters.not_filtered.keys()
    assert all(filters.not_filtered.values())


def statements(ask: Any, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert ask(address).status_code == 200
    return len(asked)


# Beside the two of signing in (session, person).
LISTS = {"jobs/": 2, "estimates/": 2}  # the keys of the page, then its rows


@pytest.mark.parametrize("address", LISTS)
def test_a_list_sends_as_many_statements_for_one_row_as_for_many(ask, issued, job_file, owner, address):
    assert statements(ask, address) == 2 + LISTS[address]
    now = timezone.localtime()
    for _ in range(3):
        issue(keep_job(job_from(job_file, now.date())[0], by=owner, at=now), by=owner, at=now)
    issue(Job.objects.get(number="J1001"), by=owner, at=now)
    assert statements(ask, address) == 2 + LISTS[address]


@pytest.mark.parametrize("address", ["jobs/J1001/", "jobs/J1001/estimate/", "jobs/J1001/next-tests/"])
def test_a_job_sends_the_same_statements_however_much_was_found(ask, send, job, address):
    before = statements(ask, address)
    readings = [
        {"test_point": "heater-ohm", "position": p, "value": "1.9", "temperature": "20"} for p in "24"
    ]
    assert send("post", "jobs/J1001/readings/", {"readings": readings}).status_code == 200
    for place in "12":
        found = {"component": "heater", "position": place, "standing": "advisory", "reason": "dark"}
        assert send("post", "jobs/J1001/findings/", found).status_code == 200
    assert statements(ask, address) == before
