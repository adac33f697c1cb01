"""Jobs: listed, read whole with every reading judged, and written down whole or not at all."""

import json
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.utils import timezone

from estimates.models import Customer, Job, Unit
from shop.models import Event, IdempotencyKey

pytestmark = pytest.mark.django_db

JOBS = "/api/v1/jobs/"


def rows_of_everything() -> dict[str, int]:
    """How many rows there are of every model that a job writes."""
    models = [*apps.get_app_config("estimates").get_models(), Event, IdempotencyKey]
    return {model.__name__: model._default_manager.count() for model in models}


def create(client: Any, body: Any, key: str = "") -> Any:
    return client.post(JOBS, body, headers={"Idempotency-Key": key} if key else {})


# Reading


def test_a_job_is_read_with_its_unit_readings_findings_and_version(ask, job):
    body = ask(f"jobs/{job.number}/").json()
    assert body["unit"]["built"] == "2014-06"
    assert (body["unit"]["built_from"], body["unit"]["built_until"]) == ("2014-06-01", "2014-06-30")
    assert body["unit"]["serial"] == ""
    assert body["customer"]["name"] == "Harrow Boats"
    assert body["version"] == job.version
    assert body["writer"] == "olga"


def test_a_reading_carries_its_judgement_after_iso_14253_1(ask, job):
    """Limits 0.6 to 1.2 Ohm. 0.97 - 0.10 = 0.87; 0.8 % of 0.97 + 2 x 0.01 = 0.02776: inside by more (ISO
    14253-1). The reading itself is made up."""
    first, third = ask(f"jobs/{job.number}/").json()["readings"]
    assert (first["outcome"], first["corrected"], first["uncertainty"]) == ("good", "0.87", "0.028")
    assert first["meter"]["accuracy_counts"] == 2
    assert (third["outcome"], third["kind"], third["corrected"]) == ("bad", "open", None)
    assert third["reason"]
    assert third["taken_by"] == "olga"


def test_findings_say_whether_they_are_computed_or_a_persons(ask, job):
    found = {row["position"]: row for row in ask(f"jobs/{job.number}/").json()["findings"]}
    assert (found["3"]["computed"], found["3"]["by_person"]) == ("confirmed", False)
    assert (found["4"]["computed"], found["4"]["by_person"]) == (None, True)
    assert found["4"]["standing"] == "advisory"


def test_a_job_that_is_not_there_is_a_problem(ask, job):
    for number in ("J9999", "J1001%00"):
        answer = ask(f"jobs/{number}/")
        assert answer.status_code == 404
        assert answer["Content-Type"] == "application/problem+json"


def test_the_tag_of_a_job_stands_for_what_is_said_of_it(ask, job):
    tag = ask(f"jobs/{job.number}/")["ETag"]
    assert ask(f"jobs/{job.number}/", headers={"If-None-Match": tag}).status_code == 304
    Job.objects.update(version=job.version + 1)
    assert ask(f"jobs/{job.number}/")["ETag"] != tag


def test_the_tag_notices_what_another_job_taught_about_the_same_unit(ask, job):
    tag = ask(f"jobs/{job.number}/")["ETag"]
    Unit.objects.update(serial="NA000501")
    assert ask(f"jobs/{job.number}/")["ETag"] != tag


def test_the_tag_does_not_hang_on_how_the_client_likes_its_json(ask, job):
    plain, indented = (
        ask(f"jobs/{job.number}/", headers={"Accept": kind})
        for kind in ("application/json", "application/json; indent=4")
    )
    assert plain["ETag"] == indented["ETag"]
    assert plain.content == indented.content


# The list


@pytest.fixture
def three(as_owner, workshop, job_file):
    """Jobs J1001 to J1003 of two customers, opened on three days."""
    for number, day in enumerate(("2026-01-31", "2026-02-01", "2026-02-02")):
        customer = {"name": "Harrow Boats"} if number < 2 else {"name": "Mill Farm"}
        if number == 1:
            customer["number"] = "C1001"
        body = {**job_file, "customer": customer, "opened_on": day, "complaint": f"complaint {number}"}
        assert create(as_owner, body).status_code == 201


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ({}, ["J1001", "J1002", "J1003"]),
        ({"number": "J1002"}, ["J1002"]),
        ({"customer": "C1001"}, ["J1001", "J1002"]),
        ({"customer": "C1002"}, ["J1003"]),
        ({"unit": "U1003"}, ["J1003"]),
        ({"family": "nk4"}, ["J1001", "J1002", "J1003"]),
        ({"opened_on": "2026-02-01"}, ["J1002"]),
        ({"opened_on__gte": "2026-02-01"}, ["J1002", "J1003"]),
        ({"opened_on__lte": "2026-02-01"}, ["J1001", "J1002"]),
        ({"opened_on__gte": "2026-02-01", "opened_on__lte": "2026-02-01"}, ["J1002"]),
        ({"complaint": "PLAINT 2"}, ["J1003"]),
        ({"writer": "olga"}, ["J1001", "J1002", "J1003"]),
        ({"writer": "carl"}, []),
    ],
)
def test_the_list_is_filtered(ask, three, query, numbers):
    assert [row["number"] for row in ask("jobs/", **query).json()["results"]] == numbers


@pytest.mark.parametrize(
    "query",
    [{"customer": "C9"}, {"unit": "U9"}, {"family": "zz"}, {"opened_on__gte": "01.02.2026"}, {"since": "1"}],
)
def test_a_filter_that_names_nothing_is_refused(ask, three, query):
    answer = ask("jobs/", **query)
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["where"] == f"query parameter {next(iter(query))}"


def test_the_list_comes_in_pages_by_key(ask, as_colleague, three):
    seen, address = [], "/api/v1/jobs/?limit=2"
    while address:
        page = as_colleague.get(address).json()
        seen.append([row["number"] for row in page["results"]])
        address = page["next"]
    assert seen == [["J1001", "J1002"], ["J1003"]]


# Writing a whole job down


def test_a_job_file_is_written_down_whole(as_owner, workshop, job_file):
    answer = create(as_owner, job_file)
    assert answer.status_code == 201
    body = answer.json()
    assert answer["Location"] == f"http://testserver/api/v1/jobs/{body['number']}/"
    assert [row["position"] for row in body["readings"]] == ["1", "3"]
    read = as_owner.get(answer["Location"])
    assert read.json() == body
    assert read["ETag"] == answer["ETag"]
    assert set(Event.objects.values_list("by__username", flat=True)) == {"olga"}


def test_what_may_be_taken_in_can_be_taken_in_from_the_start(as_owner, workshop, job_file):
    answer = create(as_owner, {**job_file, "include": ["swap-heater@4"]})
    assert answer.json()["included"] == ["swap-heater@4"]


def test_a_known_customer_is_not_put_on_record_twice(as_owner, job, job_file):
    known = {"number": "C1001", "name": "Harrow Boats"}
    assert create(as_owner, {**job_file, "customer": known}).status_code == 201
    assert Customer.objects.count() == 1


def test_a_number_of_ones_own_is_kept(as_owner, workshop, job_file):
    assert create(as_owner, {**job_file, "number": "W-17.2"}).json()["number"] == "W-17.2"


WRONG_JOBS: dict[str, tuple[dict[str, Any], str]] = {
    "no complaint": ({"complaint": ""}, "complaint"),
    "complaint is a number": ({"complaint": 5}, "complaint"),
    "complaint too long": ({"complaint": "x" * 4001}, "complaint"),
    "unknown member": ({"colour": "blue"}, "job, colour"),
    "no customer": ({"customer": None}, "customer"),
    "customer without a name": ({"customer": {"number": "C1"}}, "customer, name"),
    "customer is text": ({"customer": "Harrow"}, "customer"),
    "customer number too high": ({"customer": {"name": "x", "number": "C999999999"}}, "customer, number"),
    "no family": ({"unit": {"name": "x"}}, "unit, family"),
    "unknown family": ({"unit": {"name": "x", "family": "nk5"}}, "unit, family"),
    "bad build date": ({"unit": {"name": "x", "family": "nk4", "built": "06/2014"}}, "unit, built"),
    "bad serial": ({"unit": {"name": "x", "family": "nk4", "serial": "ZZ000001"}}, "unit, serial"),
    "unknown option": (
        {"unit": {"name": "x", "family": "nk4", "options": {"roof": "y"}}},
        "unit, options, roof",
    ),
    "bad option value": (
        {"unit": {"name": "x", "family": "nk4", "options": {"heater-connector": "5-way"}}},
        "unit, options, heater-connector",
    ),
    "bad road use": ({"unit": {"name": "x", "family": "nk4", "road_use": "maybe"}}, "unit, road_use"),
    "unknown test point": ({"readings": [{"test_point": "x", "value": "1"}]}, "readings[0], test_point"),
    "no such cylinder": (
        {"readings": [{"test_point": "heater-ohm", "position": "5", "value": "1"}]},
        "readings[0], position",
    ),
    "not a number": (
        {"readings": [{"test_point": "heater-ohm", "position": "1", "value": "1,0"}]},
        "readings[0], value",
    ),
    "a lamp answer to a resistance": (
        {"readings": [{"test_point": "heater-ohm", "position": "1", "value": "on"}]},
        "readings[0], value",
    ),
    "another unit": (
        {"readings": [{"test_point": "heater-ohm", "position": "1", "value": "1", "unit": "V"}]},
        "readings[0], unit",
    ),
    "same reading twice": (
        {"readings": [{"test_point": "heater-ohm", "position": "1", "value": v} for v in "12"]},
        "readings[1]",
    ),
    "a value beyond measure": (
        {"readings": [{"test_point": "heater-ohm", "position": "1", "value": "1e30"}]},
        "readings[0], value",
    ),
    "counts without a resolution": ({"meter": {"accuracy_counts": 2}}, "meter, accuracy_counts"),
    "an accuracy no column holds": ({"meter": {"accuracy_percent": "123456"}}, "meter, accuracy_percent"),
    "unknown component": (
        {"findings": [{"component": "x", "standing": "confirmed", "reason": "y"}]},
        "findings[0], component",
    ),
    "finding without a reason": (
        {"findings": [{"component": "heater", "position": "1", "standing": "confirmed", "reason": " "}]},
        "findings[0], reason",
    ),
    "unknown standing": (
        {"findings": [{"component": "heater", "position": "1", "standing": "broken", "reason": "y"}]},
        "findings[0], standing",
    ),
    "no pieces": (
        {"findings": [{"component": "heater", "position": "1", "standing": "confirmed", "reason": "y",
                       "quantity": 0}]},
        "findings[0], quantity",
    ),
    "unknown item": ({"include": ["swap-heater@2"]}, "include[0]"),
    "firm item": ({"include": ["swap-heater"]}, "include[0]"),
    "number with a slash": ({"number": "J/1"}, "number"),
    "number too high": ({"number": "J123456789"}, "number"),
    "not a day": ({"opened_on": "31.03.2026"}, "opened_on"),
    "readings are no list": ({"readings": {}}, "readings"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG_JOBS)
def test_a_wrong_job_says_where_and_writes_nothing(as_owner, workshop, job_file, case):
    change, where = WRONG_JOBS[case]
    before = rows_of_everything()
    answer = create(as_owner, {**job_file, **change}, key="k")
    assert answer.status_code == 422, answer.content
    assert where in [error["where"] for error in answer.json()["errors"]]
    assert rows_of_everything() == before


@pytest.mark.parametrize("body", [[], "x", 5, None])
def test_a_body_that_is_no_object_writes_nothing(as_owner, workshop, body):
    before = rows_of_everything()
    assert as_owner.post(JOBS, json.dumps(body), content_type="application/json").status_code == 422
    assert rows_of_everything() == before


def test_every_fault_of_a_job_is_told_at_once(as_owner, workshop, job_file):
    wrong = {
        **job_file,
        "complaint": "",
        "readings": [
            {"test_point": "x", "value": "1"},
            {"test_point": "heater-ohm", "position": "9", "value": "1"},
        ],
    }
    wheres = [error["where"] for error in create(as_owner, wrong).json()["errors"]]
    assert wheres == ["complaint", "readings[0], test_point", "readings[1], position"]


def test_a_number_that_is_taken_is_refused(as_owner, job, job_file):
    before = rows_of_everything()
    answer = create(as_owner, {**job_file, "number": job.number})
    assert answer.json()["errors"][0]["where"] == "number"
    assert rows_of_everything() == before


def test_a_known_number_under_another_name_is_refused(as_owner, job, job_file):
    answer = create(as_owner, {**job_file, "customer": {"number": "C1001", "name": "Mill Farm"}})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["where"] == "customer, name"
    assert Job.objects.count() == 1


# Who may


def test_a_reader_may_read_jobs_and_write_none(as_colleague, job, job_file):
    before = rows_of_everything()
    assert as_colleague.get(f"{JOBS}{job.number}/").status_code == 200
    assert create(as_colleague, job_file).status_code == 403
    assert rows_of_everything() == before


def test_a_stranger_may_not_even_read(as_stranger, job, job_file):
    before = rows_of_everything()
    assert as_stranger.get(JOBS).status_code == 401
    assert as_stranger.get(f"{JOBS}{job.number}/").status_code == 401
    assert create(as_stranger, job_file).status_code == 401
    assert rows_of_everything() == before


def test_a_colleague_with_the_permission_for_jobs_may_create_one(as_colleague, colleague, workshop, job_file):
    from django.contrib.auth.models import Permission

    colleague.user_permissions.add(Permission.objects.get(codename="add_job"))
    assert create(as_colleague, job_file).status_code == 201


# Asking again: after the IETF draft "The Idempotency-Key HTTP Header Field", 2.6 and 2.7: the result of the
# completed request is sent again; 422 where the key comes with a different payload.


def test_the_same_request_with_the_same_key_makes_one_job(as_owner, workshop, job_file):
    first = create(as_owner, job_file, "5f2c")
    before = rows_of_everything()
    again = create(as_owner, job_file, "5f2c")
    assert again.status_code == 201
    assert again.content == first.content
    for name in ("Location", "ETag", "Content-Location"):
        assert again[name] == first[name]
    assert rows_of_everything() == before


def test_the_first_answer_is_given_even_where_the_job_has_moved_on(as_owner, send, workshop, job_file):
    first = create(as_owner, job_file, "5f2c")
    send("delete", "jobs/J1001/findings/heater/4/")
    assert create(as_owner, job_file, "5f2c").content == first.content


def test_a_key_may_come_in_the_quotes_of_a_structured_field(as_owner, workshop, job_file):
    create(as_owner, job_file, '"5f2c"')
    create(as_owner, job_file, "5f2c")
    assert Job.objects.count() == 1


def test_the_same_key_with_another_body_is_refused(as_owner, workshop, job_file):
    create(as_owner, job_file, "5f2c")
    before = rows_of_everything()
    answer = create(as_owner, {**job_file, "complaint": "another"}, "5f2c")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["where"] == "header Idempotency-Key"
    assert rows_of_everything() == before


def test_another_key_and_no_key_make_another_job(as_owner, workshop, job_file):
    for key in ("one", "two", "", ""):
        create(as_owner, job_file, key)
    assert Job.objects.count() == 4


def test_a_key_belongs_to_one_person(as_owner, as_colleague, colleague, workshop, job_file):
    create(as_owner, job_file, "5f2c")
    colleague.is_staff = True
    colleague.save()
    assert create(as_colleague, job_file, "5f2c").json()["number"] == "J1002"


def test_a_refused_request_leaves_its_key_free(as_owner, workshop, job_file):
    assert create(as_owner, {**job_file, "complaint": ""}, "5f2c").status_code == 422
    assert create(as_owner, job_file, "5f2c").status_code == 201


@pytest.mark.parametrize("key", [" ", '""', "a b", "x" * 256, "schl\xfcssel"])
def test_a_key_that_is_none_is_told_so(as_owner, workshop, job_file, key):
    answer = as_owner.post(JOBS, job_file, headers={"Idempotency-Key": key})
    assert answer.status_code == 400
    assert Job.objects.count() == 0


@pytest.mark.parametrize(("age", "left"), [(timedelta(hours=23), 2), (timedelta(hours=25), 1)])
def test_old_keys_are_swept_out_when_a_new_one_is_written(as_owner, workshop, job_file, age, left):
    create(as_owner, job_file, "old")
    IdempotencyKey.objects.update(at=timezone.now() - age)
    create(as_owner, job_file, "new")
    assert IdempotencyKey.objects.count() == left
