"""Fitment in batches: three answers with reasons, every fault by its index, statements that do not grow."""

from typing import Any

import jsonschema
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Application, InterchangeGroup, InterchangeMember, Part, Position, Replacement

pytestmark = pytest.mark.django_db

OLD = {"brand": "lumo", "number": "GX-1042/B"}  # built 2012 to 2015
NEW = {"brand": "lumo", "number": "GX-2042"}  # heater connector 9-way
SERIAL = {"brand": "tarn", "number": "77.100"}  # from NA000500 on
UNLISTED = {"brand": "tarn", "number": "77.200"}  # no application


@pytest.fixture
def check(as_colleague: Any, catalogue: Any) -> Any:
    def post(*checks: Any, **more: Any) -> Any:
        return as_colleague.post("/api/v1/fitment-checks/", {"checks": list(checks), **more})

    return post


@pytest.fixture
def verdict(check: Any) -> Any:
    """The one verdict on one part for one engine of the family."""

    def judged(part: dict[str, str], **facts: Any) -> dict[str, Any]:
        answer = check({"part": part, "family": "nk4", **facts})
        assert answer.status_code == 200, answer.content
        (only,) = answer.json()["results"][0]["verdicts"]
        return only

    return judged


@pytest.mark.parametrize(
    ("part", "facts", "outcome"),
    [
        (OLD, {"built": "2011-12-31"}, "does not fit"),
        (OLD, {"built": "2012-01-01"}, "fits"),
        (OLD, {"built": "2015-12-31"}, "fits"),
        (OLD, {"built": "2016-01-01"}, "does not fit"),
        (OLD, {"built": "2013"}, "fits"),
        (OLD, {}, "cannot tell"),
        (NEW, {"options": {"heater-connector": "9-way"}}, "fits"),
        (NEW, {"options": {"heater-connector": "4-way"}}, "does not fit"),
        (NEW, {"options": {"heater-connector": ""}}, "cannot tell"),
        (SERIAL, {"serial": "NA000499"}, "does not fit"),
        (SERIAL, {"serial": "na 000-500"}, "fits"),
        (SERIAL, {"serial": "NB000001"}, "fits"),
        (SERIAL, {"serial": "NA5"}, "cannot tell"),
        (UNLISTED, {"built": "2013"}, "does not fit"),
    ],
)
def test_the_three_answers(verdict, part, facts, outcome):
    assert verdict(part, **facts)["verdict"] == outcome


def test_an_answer_carries_its_reasons_and_one_sentence(verdict):
    told = verdict(OLD, built="2016")
    assert told["sentence"].startswith("It does not fit")
    assert any("2016" in reason for reason in told["reasons"])
    assert told["missing"] == []


def test_an_open_answer_names_the_fewest_facts_that_decide_it(verdict):
    told = verdict(NEW, serial="", built="2014")
    assert [missing["fact"] for missing in told["missing"]] == ["option:heater-connector"]
    assert "the heater connector" in told["sentence"]


def test_an_open_answer_says_on_what_it_depends(verdict):
    told = verdict(NEW, built="2014")
    assert told["fits_if"] == "fits if the heater connector is 9-way; tell us the heater connector"
    assert verdict(OLD, built="2014")["fits_if"] == ""


def test_a_part_that_nobody_lists_fits_by_the_applications_of_those_that_serve_alike(
    verdict, check, catalogue
):
    group = InterchangeGroup.objects.get()
    InterchangeMember.objects.create(group=group, part=catalogue.parts[3])
    facts = {"options": {"heater-connector": "9-way"}}
    told = verdict(UNLISTED, **facts)
    assert (told["verdict"], told["by_interchange"]) == ("fits", ["Lumo GX-2042", "Tarn 77.100"])
    assert verdict(NEW, **facts)["by_interchange"] == []
    of_type = check({"part_type": "glow-plug", "family": "nk4", **facts}).json()["results"][0]["verdicts"]
    assert told in of_type


def test_a_part_tells_what_replaced_it(verdict, catalogue):
    assert verdict(OLD)["replaced_by"] == [[{"brand": "lumo", "number": "GX-2042", "quantity": 1}]]
    assert verdict(NEW)["replaced_by"] == []


def test_replacements_are_those_of_the_day_asked_about(check):
    (result,) = check({"part": OLD, "family": "nk4"}, on="2019-12-31").json()["results"]
    assert result["verdicts"][0]["replaced_by"] == []
    (result,) = check({"part": OLD, "family": "nk4"}, on="2020-01-01").json()["results"]
    assert result["verdicts"][0]["replaced_by"] != []


def test_the_newer_of_two_parts_that_serve_alike_is_replaced_by_nothing_whatever_else_is_asked(check):
    Replacement.objects.update(both_ways=True)
    alone = check({"part": NEW, "family": "nk4"}).json()["results"]
    beside = check({"part": NEW, "family": "nk4"}, {"part": OLD, "family": "nk4"}).json()["results"]
    ways = [row["verdicts"][0]["replaced_by"] for row in (*alone, *beside)]
    assert ways == [[], [], [[{"brand": "lumo", "number": "GX-2042", "quantity": 1}]]]


def test_a_chain_is_followed_to_its_end_with_its_quantities(verdict, catalogue):
    _, middle, left, right = catalogue.parts
    Replacement.objects.create(old=middle, new=left, quantity=2)
    Replacement.objects.create(old=middle, new=right)
    together = [
        {"brand": "tarn", "number": "77.100", "quantity": 2},
        {"brand": "tarn", "number": "77.200", "quantity": 1},
    ]
    assert verdict(OLD)["replaced_by"] == [together]
    assert verdict(NEW)["replaced_by"] == [together]


def test_a_part_type_is_answered_for_every_part_a_rule_speaks_of(check):
    answer = check({"part_type": "glow-plug", "family": "nk4", "built": "2014", "position": "3"}).json()
    judged = {row["part"]["number"]: row["verdict"] for row in answer["results"][0]["verdicts"]}
    assert judged == {"GX-1042/B": "fits", "GX-2042": "cannot tell", "77.100": "cannot tell"}


def test_a_part_type_nobody_lists_for_the_family_has_no_verdicts(check):
    assert check({"part_type": "relay", "family": "nk4"}).json()["results"][0]["verdicts"] == []


def test_a_position_of_another_scope_does_not_fit(verdict):
    assert verdict(OLD, built="2014", position="3")["verdict"] == "fits"
    assert verdict(OLD, built="2014", position="engine")["verdict"] == "does not fit"


@pytest.mark.parametrize(("asked", "agrees"), [(1, True), (2, False), (None, None)])
def test_the_quantity_meant_is_compared_with_the_one_listed(verdict, asked, agrees):
    told = verdict(OLD, built="2014", quantity=asked)
    assert (told["quantity"], told["quantity_agrees"]) == (1, agrees)


def test_answers_stand_in_the_order_of_the_questions(check):
    answer = check(*({"part": part, "family": "nk4"} for part in (SERIAL, OLD, NEW, OLD))).json()
    numbers = [row["verdicts"][0]["part"]["number"] for row in answer["results"]]
    assert numbers == ["77.100", "GX-1042/B", "GX-2042", "GX-1042/B"]
    assert [row["index"] for row in answer["results"]] == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("item", "where"),
    [
        ("text", ""),
        ({"family": "nk4"}, ""),
        ({"family": "nk4", "part": OLD, "part_type": "glow-plug"}, ""),
        ({"part": OLD}, ".family"),
        ({"part": OLD, "family": ""}, ".family"),
        ({"part": OLD, "family": "nk9"}, ".family"),
        ({"part": OLD, "family": 4}, ".family"),
        ({"part": OLD, "family": "nk4\x00"}, ".family"),
        ({"part": OLD, "family": "nk4", "colour": "red"}, ".colour"),
        ({"part": {"brand": "lumo"}, "family": "nk4"}, ".part"),
        ({"part": {"brand": "lumo", "number": "---"}, "family": "nk4"}, ".part.number"),
        ({"part": {"brand": "lumo", "number": 1042}, "family": "nk4"}, ".part.number"),
        ({"part": {"brand": "lumo", "number": "GX-9"}, "family": "nk4"}, ".part"),
        ({"part": {"brand": "nobody", "number": "GX-2042"}, "family": "nk4"}, ".part"),
        ({"part_type": "wheel", "family": "nk4"}, ".part_type"),
        ({"part": OLD, "family": "nk4", "position": "9"}, ".position"),
        ({"part": OLD, "family": "nk4", "built": "03/2014"}, ".built"),
        ({"part": OLD, "family": "nk4", "built": "2014-02-30"}, ".built"),
        ({"part": OLD, "family": "nk4", "built": 2014}, ".built"),
        ({"part": OLD, "family": "nk4", "serial": "9" * 201}, ".serial"),
        ({"part": OLD, "family": "nk4", "options": ["9-way"]}, ".options"),
        ({"part": OLD, "family": "nk4", "options": {"connector": "9-way"}}, ".options.connector"),
        (
            {"part": OLD, "family": "nk4", "options": {"heater-connector": "9way"}},
            ".options.heater-connector",
        ),
        ({"part": OLD, "family": "nk4", "options": {"heater-connector": 9}}, ".options.heater-connector"),
        ({"part": OLD, "family": "nk4", "quantity": 0}, ".quantity"),
        ({"part": OLD, "family": "nk4", "quantity": 10_001}, ".quantity"),
        ({"part": OLD, "family": "nk4", "quantity": 1.5}, ".quantity"),
        ({"part": OLD, "family": "nk4", "quantity": True}, ".quantity"),
        ({"part": OLD, "family": "nk4", "quantity": "2"}, ".quantity"),
    ],
)  # fmt: skip
def test_a_fault_in_one_item_refuses_the_batch_and_names_its_index(check, item, where):
    answer = check({"part": OLD, "family": "nk4"}, item, {"part": NEW, "family": "nk4"})
    assert answer.status_code == 422, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert [error["where"] for error in answer.json()["errors"]] == [f"checks[1]{where}"]


def test_all_faults_are_told_at_once(check):
    answer = check({"part": OLD}, {"family": "nk4", "part": OLD, "built": "x", "quantity": 0})
    wheres = [error["where"] for error in answer.json()["errors"]]
    assert wheres == ["checks[0].family", "checks[1].built", "checks[1].quantity"]


@pytest.mark.parametrize(
    ("body", "where"),
    [([], "the body"), ("x", "the body"), ({}, "checks"), ({"checks": {}}, "checks"),
     ({"checks": []}, "checks"), ({"checks": [{}] * 1001}, "checks"), ({"checks": [{}], "on": "today"}, "on"),
     ({"checks": [{}], "on": 7}, "on"), ({"checks": [{}], "colour": 1}, "colour")],
    ids=str,
)  # fmt: skip
def test_a_body_of_another_shape_is_refused(as_colleague, db, body, where):
    answer = as_colleague.post("/api/v1/fitment-checks/", body)
    assert answer.status_code == 422
    assert where in [error["where"] for error in answer.json()["errors"]]


def test_a_stranger_is_not_answered(as_stranger, catalogue):
    body = {"checks": [{"part": OLD, "family": "nk4"}]}
    assert as_stranger.post("/api/v1/fitment-checks/", body).status_code == 401


def test_the_address_takes_no_parameters(as_colleague, db):
    assert as_colleague.post("/api/v1/fitment-checks/?limit=3", {}).status_code == 400


def statements(check: Any, *checks: Any) -> int:
    with CaptureQueriesContext(connection) as asked:
        answer = check(*checks)
    assert answer.status_code == 200, answer.content
    assert len(answer.json()["results"]) == len(checks)
    return len(asked)


def test_a_thousand_checks_send_as_many_statements_as_one(check, catalogue):
    parts = Part.objects.bulk_create(
        Part(
            brand=catalogue.lumo, number=f"N-{n}", normalised=f"N{n}", part_type=catalogue.heater,
            grade="original",
        )
        for n in range(1000)
    )  # fmt: skip
    Application.objects.bulk_create(
        Application(part=part, part_type=catalogue.heater, family=catalogue.family, scope="cylinder")
        for part in parts
    )
    Replacement.objects.bulk_create(Replacement(old=part, new=catalogue.parts[1]) for part in parts[1:])
    items = [
        {"part": {"brand": "lumo", "number": part.number}, "family": "nk4", "built": "2014", "position": "3"}
        for part in parts
    ]
    one = statements(check, items[1])
    assert statements(check, *items) == one


def test_a_part_type_asked_many_times_sends_as_many_statements_as_once(check):
    item = {"part_type": "glow-plug", "family": "nk4"}
    assert statements(check, *[item] * 50) == statements(check, item)


def test_the_answer_is_as_documented(check, as_stranger):
    document = as_stranger.get("/api/v1/schema/").json()
    operation = document["paths"]["/api/v1/fitment-checks/"]["post"]
    answer = check(
        {"part": OLD, "family": "nk4"}, {"part_type": "glow-plug", "family": "nk4", "built": "2014"}
    )
    schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
    whole = {**schema, "components": document["components"]}
    jsonschema.validate(answer.json(), whole, jsonschema.Draft202012Validator)
    described = document["components"]["schemas"]["Verdict"]
    told = answer.json()["results"][0]["verdicts"][0]
    assert set(described["required"]) == described["properties"].keys() == told.keys()


def test_an_exclusion_for_one_bank_reaches_its_cylinders_though_the_question_names_no_place(
    verdict, catalogue
):
    family, part = catalogue.family, catalogue.parts[3]
    bank = Position.objects.create(family=family, code="A", scope="bank", ordinal=9)
    place = Position.objects.get(family=family, code="1")
    common = {"part": part, "family": family}
    Application.objects.create(**common, scope="cylinder", position=place, ordinal=1)
    Application.objects.create(**common, scope="bank", position=bank, polarity="excludes", ordinal=2)
    assert verdict(UNLISTED)["verdict"] == "cannot tell"  # nobody knows on which bank the cylinder is
    Position.objects.filter(pk=place.pk).update(bank=bank)
    assert verdict(UNLISTED)["verdict"] == "does not fit"
