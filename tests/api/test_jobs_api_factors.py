"""What makes teardown slower on one machine: set, replaced, printed with its reason, taken back."""

import pytest

pytestmark = pytest.mark.django_db

JOB = "jobs/J1001/"
RUST = {"step": "cover", "factor": "1.5", "reason": "bolts corroded"}


def test_a_factor_lengthens_its_step_is_printed_with_its_reason_and_can_be_taken_back(ask, send, job):
    before = ask(f"{JOB}estimate/").json()
    answer = send("post", f"{JOB}factors/", RUST)
    assert answer.json()["factors"] == [{**RUST, "position": None}]
    after = ask(f"{JOB}estimate/").json()
    # The cover takes 12 minutes, so 18; the estimate opens it once.
    assert after["labour"]["minutes"] == before["labour"]["minutes"] + 6
    assert after["job_factors"] == [
        {
            "step": "cover", "name": "cover off", "where": "", "factor": "1.5", "minutes": 18,
            "usual_minutes": 12, "reason": "bolts corroded",
        }
    ]  # fmt: skip
    assert send("delete", f"{JOB}factors/cover/engine/").status_code == 404
    assert send("delete", f"{JOB}factors/cover/everywhere/").json()["factors"] == []
    assert ask(f"{JOB}estimate/").json() == before


def test_a_factor_for_the_same_step_and_place_is_replaced_and_one_for_its_place_multiplies(ask, send, job):
    send("post", f"{JOB}factors/", RUST)
    send("post", f"{JOB}factors/", {**RUST, "factor": "2"})
    assert [f["factor"] for f in ask(JOB).json()["factors"]] == ["2"]
    send("post", f"{JOB}factors/", {**RUST, "position": "engine", "reason": "no room for a wrench"})
    (printed,) = ask(f"{JOB}estimate/").json()["job_factors"]
    # 12 x 2 x 1.5
    assert (printed["factor"], printed["minutes"]) == ("3", 36)
    assert printed["reason"] == "bolts corroded; no room for a wrench"


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"step": "no-such"}, "factor, step"),
        ({"factor": "0.99"}, "factor, factor"),
        ({"factor": "10.01"}, "factor, factor"),
        ({"factor": "1.255"}, "factor, factor"),
        ({"factor": "some"}, "factor, factor"),
        ({"position": "3"}, "factor, position"),
        ({"reason": " "}, "factor, reason"),
        ({"because": "rust"}, "factor, because"),
    ],
)
def test_a_factor_that_cannot_be_is_refused_by_its_place(ask, send, job, wrong, where):
    before = ask(JOB).content
    answer = send("post", f"{JOB}factors/", {**RUST, **wrong})
    assert answer.status_code == 422
    assert [error["where"] for error in answer.json()["errors"]] == [where]
    assert ask(JOB).content == before


def test_a_job_file_may_bring_factors_each_step_and_place_once(as_owner, workshop, job_file):
    here = {**RUST, "position": "engine", "reason": "no room for a wrench"}
    twice = as_owner.post("/api/v1/jobs/", {**job_file, "factors": [RUST, here, RUST]}, format="json")
    assert twice.status_code == 422
    assert [error["where"] for error in twice.json()["errors"]] == ["factors[2]"]
    kept = as_owner.post("/api/v1/jobs/", {**job_file, "factors": [RUST, here]}, format="json")
    assert kept.status_code == 201
    assert [(one["position"], one["reason"]) for one in kept.json()["factors"]] == [
        (None, "bolts corroded"),
        ("engine", "no room for a wrench"),
    ]
