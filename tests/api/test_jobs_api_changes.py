"""Changes to a job: only to what the client has seen, all of it or none, and by those who may.

If-Match is held against RFC 9110, 13.1.1 and 8.8.3.2 (https://www.rfc-editor.org/rfc/rfc9110), 428 against
RFC 6585, 3 (https://www.rfc-editor.org/rfc/rfc6585).
"""

from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import Permission

from estimates.models import DraftChoice, Finding, Job, Reading
from shop.api.conditional import matches_strongly
from shop.models import Event

pytestmark = pytest.mark.django_db

JOB = "jobs/J1001/"
GOOD = {"test_point": "heater-ohm", "position": "2", "value": "0.9", "temperature": "20"}

# What each kind of change is, and the permission that allows it to somebody who is not on the staff.
CHANGES: dict[str, tuple[str, str, Any, str]] = {
    "unit": ("patch", f"{JOB}unit/", {"serial": "NA000501"}, "change_unit"),
    "readings": ("post", f"{JOB}readings/", {"readings": [GOOD]}, "add_reading"),
    "reading": ("delete", f"{JOB}readings/heater-ohm/3/before/", None, "delete_reading"),
    "findings": (
        "post",
        f"{JOB}findings/",
        {"component": "heater", "position": "1", "standing": "suspected", "reason": "smells burnt"},
        "add_finding",
    ),
    "finding": ("delete", f"{JOB}findings/heater/4/", None, "delete_finding"),
    "factors": (
        "post",
        f"{JOB}factors/",
        {"step": "cover", "factor": "1.5", "reason": "bolts corroded"},
        "add_jobfactor",
    ),
    "item": ("put", f"{JOB}items/swap-heater@4/", {"included": True}, "change_draftchoice"),
    "issue": ("post", f"{JOB}estimates/", None, "add_issuedestimate"),
}
TO_THE_JOB = [kind for kind in CHANGES if kind != "issue"]


def everything() -> list[Any]:
    """Every row that a change could touch."""
    models = [*apps.get_app_config("estimates").get_models(), Event]
    return [list(model._default_manager.order_by("pk").values()) for model in models]


def wheres(answer: Any) -> list[str]:
    return [error["where"] for error in answer.json()["errors"]]


# Preconditions


@pytest.mark.parametrize(
    # 8.8.3.2, the table of comparisons: the column "Strong Comparison".
    ("one", "other", "match"),
    [('W/"1"', 'W/"1"', False), ('W/"1"', 'W/"2"', False), ('W/"1"', '"1"', False), ('"1"', '"1"', True)],
)
def test_the_table_of_the_standard(one, other, match):
    assert matches_strongly(one, other) is match


def test_one_of_several_tags_is_enough_and_a_star_is_any():
    assert matches_strongly('"xyzzy", "r2d2xxxx", "c3piozzzz"', '"r2d2xxxx"')
    assert matches_strongly("*", '"r2d2xxxx"')
    assert not matches_strongly("", '"r2d2xxxx"')


@pytest.mark.parametrize("kind", CHANGES)
class TestPreconditions:
    def test_without_if_match_it_is_428_and_nothing_is_done(self, send, job, kind):
        method, path, body, _ = CHANGES[kind]
        before = everything()
        answer = send(method, path, body, tag="")
        assert answer.status_code == 428
        assert answer["Content-Type"] == "application/problem+json"
        assert "If-Match" in answer.json()["detail"]
        assert everything() == before

    def test_the_tag_of_another_state_is_412_with_both_versions_and_nothing_is_done(
        self, ask, send, job, kind
    ):
        method, path, body, _ = CHANGES[kind]
        seen = ask(JOB)["ETag"]
        send("post", f"{JOB}findings/", {"component": "heater", "position": "2", "standing": "advisory",
                                         "reason": "dark"})  # fmt: skip
        before = everything()
        answer = send(method, path, body, tag=seen)
        assert answer.status_code == 412
        assert answer.json()["current"] == ask(JOB).json()
        assert answer["ETag"] == ask(JOB)["ETag"]
        assert everything() == before

    def test_a_weak_tag_never_matches(self, ask, send, job, kind):
        # 13.1.1: "An origin server MUST use the strong comparison function"
        method, path, body, _ = CHANGES[kind]
        before = everything()
        assert send(method, path, body, tag=f"W/{ask(JOB)['ETag']}").status_code == 412
        assert everything() == before

    def test_a_star_matches_whatever_there_is(self, send, job, kind):
        method, path, body, _ = CHANGES[kind]
        assert send(method, path, body, tag="*").status_code in (200, 201)

    def test_a_tag_without_its_quotes_is_not_understood(self, ask, send, job, kind):
        method, path, body, _ = CHANGES[kind]
        before = everything()
        answer = send(method, path, body, tag=ask(JOB)["ETag"].strip('"'))
        assert answer.status_code == 400
        assert wheres(answer) == ["header If-Match"]
        assert everything() == before

    def test_a_job_that_is_not_there_is_404_even_with_a_star(self, send, job, kind):
        method, path, body, _ = CHANGES[kind]
        assert send(method, path.replace("J1001", "J1002"), body, tag="*").status_code == 404


@pytest.mark.parametrize("kind", TO_THE_JOB)
def test_a_change_answers_with_the_job_as_it_stands_and_its_new_tag(ask, send, job, kind):
    method, path, body, _ = CHANGES[kind]
    seen = ask(JOB)["ETag"]
    answer = send(method, path, body, tag=seen)
    now = ask(JOB)
    assert answer.status_code == 200
    assert answer.content == now.content
    assert answer["ETag"] == now["ETag"] != seen
    # RFC 9110, 8.7: what is enclosed is a representation of the resource named here.
    assert answer["Content-Location"] == f"http://testserver/api/v1/{JOB}"


def test_changes_can_follow_each_other_by_their_tags_alone(ask, send, job):
    tag = ask(JOB)["ETag"]
    for kind in ("unit", "readings", "reading", "item", "findings", "finding"):
        method, path, body, _ = CHANGES[kind]
        answer = send(method, path, body, tag=tag)
        assert answer.status_code == 200, (kind, answer.content)
        tag = answer["ETag"]


def test_a_change_between_the_look_and_the_write_is_412(send, job, monkeypatch):
    """Somebody is quicker after the tag was compared: the job's version decides inside the transaction."""
    from estimates.api import findings

    def slow(*args: Any, **kwargs: Any) -> Any:
        Job.objects.update(version=job.version + 1)
        return entry(*args, **kwargs)

    entry = findings.finding_entry
    monkeypatch.setattr(findings, "finding_entry", slow)
    method, path, body, _ = CHANGES["findings"]
    assert send(method, path, body).status_code == 412
    assert Finding.objects.count() == 1


# Who may


@pytest.mark.parametrize("kind", CHANGES)
class TestWhoMay:
    def test_a_reader_may_not(self, send, as_colleague, job, kind):
        method, path, body, _ = CHANGES[kind]
        before = everything()
        assert send(method, path, body, who=as_colleague).status_code == 403
        assert everything() == before

    def test_a_stranger_may_not(self, send, as_stranger, job, kind):
        method, path, body, _ = CHANGES[kind]
        before = everything()
        assert send(method, path, body, who=as_stranger).status_code == 401
        assert everything() == before

    def test_the_permission_for_just_this_is_enough(self, send, as_colleague, colleague, job, kind):
        method, path, body, permission = CHANGES[kind]
        colleague.user_permissions.add(
            Permission.objects.get(codename=permission, content_type__app_label="estimates")
        )
        assert send(method, path, body, who=as_colleague).status_code in (200, 201)
        assert Event.objects.filter(by=colleague).exists()

    def test_every_other_permission_is_not(self, send, as_colleague, colleague, job, kind):
        method, path, body, permission = CHANGES[kind]
        colleague.user_permissions.add(*Permission.objects.exclude(codename=permission))
        assert send(method, path, body, who=as_colleague).status_code == 403


# The unit


def test_what_is_not_given_stays_and_what_is_empty_becomes_unknown(send, job):
    learned = {"serial": "NB000001", "options": {"heater-connector": "9-way"}, "registration": "HB 12"}
    assert send("patch", f"{JOB}unit/", learned).status_code == 200
    unit = send("patch", f"{JOB}unit/", {"serial": "", "vin": None}).json()["unit"]
    assert (unit["serial"], unit["registration"], unit["built"]) == ("", "HB 12", "2014-06")
    assert unit["options"] == {"heater-connector": "9-way"}
    unit = send("patch", f"{JOB}unit/", {"options": {"heater-connector": ""}, "built": ""}).json()["unit"]
    assert (unit["options"], unit["built"], unit["built_from"]) == ({}, "", None)


def test_a_build_date_that_cannot_be_typed_outlives_a_change_of_something_else(send, job):
    from datetime import date

    from estimates.models import Unit

    Unit.objects.update(built_from=date(2014, 1, 1), built_until=date(2015, 6, 30))
    unit = send("patch", f"{JOB}unit/", {"name": "Long launch"}).json()["unit"]
    assert (unit["built"], unit["built_from"], unit["built_until"]) == ("", "2014-01-01", "2015-06-30")


# Readings


def test_several_readings_are_taken_together_and_judged(send, job):
    more = [{**GOOD, "position": p, "value": v} for p, v in (("2", "0.9"), ("3", "0.88"), ("4", "1.9"))]
    body = send("post", f"{JOB}readings/", {"readings": more, "meter": {"accuracy_percent": "1"}}).json()
    told = {row["position"]: (row["shown"], row["outcome"]) for row in body["readings"]}
    assert told["2"] == ("0.9 Ω", "good")
    assert told["3"][0] == "0.88 Ω", "a reading taken again replaces the one before"
    assert told["4"][1] == "bad"
    assert body["version"] == job.version + 3


def test_one_wrong_reading_keeps_the_right_ones_out(send, job):
    before = everything()
    answer = send("post", f"{JOB}readings/", {"readings": [GOOD, {**GOOD, "position": "7"}]})
    assert answer.status_code == 422
    assert wheres(answer) == ["readings[1], position"]
    assert everything() == before


def test_a_reading_after_the_repair_stands_beside_the_one_before(send, job):
    after = {**GOOD, "position": "3", "phase": "after"}
    body = send("post", f"{JOB}readings/", {"readings": [after]}).json()
    assert [(r["phase"], r["shown"]) for r in body["readings"] if r["position"] == "3"] == [
        ("before", "open circuit"),
        ("after", "0.9 Ω"),
    ]
    assert send("delete", f"{JOB}readings/heater-ohm/3/before/").status_code == 200
    assert Reading.objects.get(position__code="3").phase == "after"


def test_a_reading_is_exactly_the_number_that_was_sent(as_owner, ask, job):
    """RFC 8259, 6: numbers are decimal; one that binary cannot hold is kept as it is written."""
    body = '{"readings": [{"test_point": "heater-ohm", "position": "2", "value": 0.300001}]}'
    headers = {"If-Match": ask(JOB)["ETag"]}
    answer = as_owner.post(f"/api/v1/{JOB}readings/", body, content_type="application/json", headers=headers)
    assert [row["value"] for row in answer.json()["readings"] if row["position"] == "2"] == ["0.300001"]


# Findings and items


def test_a_finding_by_a_person_goes_before_the_computed_one(send, job):
    mine = {
        "component": "heater",
        "position": "3",
        "standing": "suspected",
        "reason": "the lead may be broken",
    }
    found = {row["position"]: row for row in send("post", f"{JOB}findings/", mine).json()["findings"]}
    assert (found["3"]["standing"], found["3"]["computed"], found["3"]["by_person"]) == (
        "suspected",
        "confirmed",
        True,
    )


def test_a_computed_finding_cannot_be_taken_off(send, job):
    before = everything()
    assert send("delete", f"{JOB}findings/heater/3/").status_code == 404
    assert everything() == before


def test_an_item_put_twice_is_written_once(send, job):
    version = send("put", f"{JOB}items/swap-heater@4/", {"included": True}).json()["version"]
    again = send("put", f"{JOB}items/swap-heater@4/", {"included": True}).json()
    assert (again["version"], again["included"]) == (version, ["swap-heater@4"])
    assert send("put", f"{JOB}items/swap-heater@4/", {"included": False}).json()["included"] == []
    assert DraftChoice.objects.count() == 1


# Wrong inputs

WRONG: dict[str, tuple[str, str, Any, int, str]] = {
    "unit: nothing": ("patch", "unit/", {}, 422, "unit"),
    "unit: no object": ("patch", "unit/", [], 422, "unit"),
    "unit: another family": ("patch", "unit/", {"family": "nk4"}, 422, "unit, family"),
    "unit: empty name": ("patch", "unit/", {"name": ""}, 422, "unit, name"),
    "unit: name null": ("patch", "unit/", {"name": None}, 422, "unit, name"),
    "unit: bad month": ("patch", "unit/", {"built": "2014-13"}, 422, "unit, built"),
    "unit: serial of another make": ("patch", "unit/", {"serial": "QQ1"}, 422, "unit, serial"),
    "unit: serial is a number": ("patch", "unit/", {"serial": 5}, 422, "unit, serial"),
    "unit: options no object": ("patch", "unit/", {"options": ["x"]}, 422, "unit, options"),
    "unit: option value a list": (
        "patch", "unit/", {"options": {"heater-connector": ["9-way"]}}, 422,
        "unit, options, heater-connector"),
    "unit: long vin": ("patch", "unit/", {"vin": "1" * 18}, 422, "unit, vin"),
    "unit: road use is true": ("patch", "unit/", {"road_use": True}, 422, "unit, road_use"),
    "readings: none": ("post", "readings/", {"readings": []}, 422, "readings"),
    "readings: too many": ("post", "readings/", {"readings": [GOOD] * 501}, 422, "readings"),
    "readings: no member": ("post", "readings/", {}, 422, "the body, readings"),
    "readings: a bare reading": ("post", "readings/", GOOD, 422, "the body, test_point"),
    "readings: text in the list": ("post", "readings/", {"readings": ["x"]}, 422, "readings[0]"),
    "readings: value an object": (
        "post", "readings/", {"readings": [{**GOOD, "value": {}}]}, 422, "readings[0], value"),
    "readings: not a number": (
        "post", "readings/", {"readings": [{**GOOD, "value": "NaN"}]}, 422, "readings[0], value"),
    "readings: cold as space": (
        "post", "readings/", {"readings": [{**GOOD, "temperature": "-273"}]}, 422,
        "readings[0], temperature"),
    "readings: unknown phase": (
        "post", "readings/", {"readings": [{**GOOD, "phase": "during"}]}, 422, "readings[0], phase"),
    "readings: negative accuracy": (
        "post", "readings/", {"readings": [GOOD], "meter": {"accuracy_percent": "-1"}}, 422,
        "meter, accuracy_percent"),
    "readings: huge accuracy": (
        "post", "readings/", {"readings": [GOOD], "meter": {"accuracy_percent": 99999}}, 422,
        "meter, accuracy_percent"),
    "readings: fraction of a count": (
        "post", "readings/", {"readings": [GOOD], "meter": {"accuracy_counts": "1.5", "resolution": "1"}},
        422, "meter, accuracy_counts"),
    "finding: no reason": (
        "post", "findings/", {"component": "heater", "position": "1", "standing": "advisory"}, 422,
        "finding, reason"),
    "finding: reason too long": (
        "post", "findings/",
        {"component": "heater", "position": "1", "standing": "advisory", "reason": "x" * 301}, 422,
        "finding, reason"),
    "finding: control characters": (
        "post", "findings/",
        {"component": "heater", "position": "1", "standing": "advisory", "reason": "a\x00b"}, 422,
        "finding, reason"),
    "finding: half a piece": (
        "post", "findings/",
        {"component": "heater", "position": "1", "standing": "advisory", "reason": "x", "quantity": "0.5"},
        422, "finding, quantity"),
    "finding: on the whole engine": (
        "post", "findings/",
        {"component": "heater", "position": "engine", "standing": "advisory", "reason": "x"},
        422, "finding, position"),
    "item: included is text": ("put", "items/swap-heater@4/", {"included": "yes"}, 422, "included"),
    "item: included is 1": ("put", "items/swap-heater@4/", {"included": 1}, 422, "included"),
    "item: one member too many": (
        "put", "items/swap-heater@4/", {"included": True, "price": "0"}, 422, "the body, price"),
    "item: firm work": ("put", "items/swap-heater/", {"included": False}, 422, "item swap-heater"),
    "item: none": ("put", "items/nothing/", {"included": True}, 404, ""),
    "reading: none": ("delete", "readings/heater-ohm/2/before/", None, 404, ""),
    "reading: no such phase": ("delete", "readings/heater-ohm/3/during/", None, 404, ""),
    "reading: NUL": ("delete", "readings/heater-ohm/3%00/before/", None, 404, ""),
    "finding: none": ("delete", "findings/heater/1/", None, 404, ""),
    "issue: with a body": ("post", "estimates/", {"revision": 7}, 422, "the body"),
    "query: unknown": ("patch", "unit/?dry=1", {"name": "x"}, 400, "query parameter dry"),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_change_says_where_and_writes_nothing(send, job, case):
    method, path, body, status, where = WRONG[case]
    before = everything()
    answer = send(method, JOB + path, body)
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert not where or where in wheres(answer)
    assert everything() == before
