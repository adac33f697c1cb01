"""What a person sets on a job's price: written lines, discounts, money in advance; and how it was come by."""

from decimal import Decimal

import pytest

from estimates.models import IssuedLine
from shop.models import Event

pytestmark = pytest.mark.django_db

JOB = "jobs/J1001/"
WASH = {"text": "Pressure test", "category": "bought-in", "unit_price": "80.00"}


def total(ask, name="firm"):
    return {
        key: Decimal(text)
        for key, text in ask(f"{JOB}estimate/").json()["totals"][name].items()
        if key != "tax"
    }


def test_a_written_line_is_priced_replaced_and_taken_off_again(ask, send, job):
    before = ask(f"{JOB}estimate/").json()
    (line,) = send("post", f"{JOB}hand-lines/", {**WASH, "quantity": "1.5"}).json()["hand_lines"]
    assert line == {
        "key": "hand:1", "group": "firm", "reason": "", "quantity": "1.5", "unit_price": "80.00",
        "unit_cost": None, **{key: WASH[key] for key in ("text", "category")},
    } | {"unit_price": "80"}  # fmt: skip
    after = ask(f"{JOB}estimate/").json()
    (item,) = [one for one in after["groups"]["firm"] if one["by_hand"]]
    assert (item["key"], item["title"], item["net"]) == ("hand:1", "Pressure test", "120.00")
    send("post", f"{JOB}hand-lines/", {**WASH, "key": "hand:1", "group": "optional"})
    (item,) = [one for one in ask(f"{JOB}estimate/").json()["groups"]["optional"] if one["by_hand"]]
    assert Decimal(item["adds"]) >= 80
    assert send("put", f"{JOB}items/hand:1/", {"included": True}).status_code == 200
    assert total(ask)["lines"] == Decimal(before["totals"]["firm"]["lines"]) + 80
    assert send("delete", f"{JOB}hand-lines/hand:2/").status_code == 404
    assert send("delete", f"{JOB}hand-lines/hand:1/").json()["hand_lines"] == []
    assert ask(f"{JOB}estimate/").json() == before
    assert [e.what for e in Event.objects.order_by("pk")][-4:] == [
        "line-written", "line-written", "item-taken-in", "line-removed",
    ]  # fmt: skip


def test_discounts_and_payments_change_what_is_due_and_say_why(ask, send, job):
    before = total(ask)
    ten = {"percent": "10", "reason": "regular customer"}
    assert send("post", f"{JOB}discounts/", ten).json()["discounts"] == [{"item": "", "amount": None, **ten}]
    (allowance,) = ask(f"{JOB}estimate/").json()["allowances"]
    assert (allowance["reason"], allowance["percent"]) == ("regular customer", "10")
    assert total(ask)["allowances"] == (Decimal(allowance["base"]) / 10).quantize(Decimal("0.01"))
    item = ask(f"{JOB}estimate/").json()["groups"]["firm"][0]
    given = {"item": item["key"], "amount": "1.00", "reason": "waited long"}
    assert send("post", f"{JOB}discounts/", given).status_code == 200
    (same,) = [i for i in ask(f"{JOB}estimate/").json()["groups"]["firm"] if i["key"] == item["key"]]
    assert same["discount"] == {"reason": "waited long", "percent": None, "amount": "1.00"}
    assert Decimal(same["net"]) == Decimal(item["net"]) - 1
    paid = {"amount": "20.00", "how": "card", "received_on": "2026-01-05"}
    send("post", f"{JOB}payments/", paid)
    send("post", f"{JOB}payments/", {**paid, "amount": "-5.00"})
    now = total(ask)
    assert now["prepaid"] == 15
    assert now["due"] == now["with_tax"] - 15
    assert [p["amount"] for p in ask(f"{JOB}estimate/").json()["payments"]] == ["20.00", "-5.00"]
    assert send("delete", f"{JOB}discounts/document/").status_code == 200
    assert send("delete", f"{JOB}discounts/{item['key']}/").json()["discounts"] == []
    assert total(ask)["with_tax"] == before["with_tax"]
    assert send("delete", f"{JOB}discounts/document/").status_code == 404


@pytest.mark.parametrize(
    ("path", "wrong", "where"),
    [
        ("hand-lines/", {**WASH, "unit_price": "-1"}, "line, unit_price"),
        ("hand-lines/", {**WASH, "unit_price": "1.001"}, "line, unit_price"),
        ("hand-lines/", {**WASH, "category": "labour"}, "line, category"),
        ("hand-lines/", {**WASH, "quantity": "0"}, "line, quantity"),
        ("hand-lines/", {**WASH, "key": "belt"}, "line, key"),
        ("hand-lines/", {**WASH, "text": " "}, "line, text"),
        ("discounts/", {"percent": "100.1", "reason": "x"}, "discount, percent"),
        ("discounts/", {"percent": "5", "amount": "5", "reason": "x"}, "discount"),
        ("discounts/", {"reason": "x"}, "discount"),
        ("discounts/", {"percent": "5", "reason": ""}, "discount, reason"),
        ("discounts/", {"percent": "5", "reason": "x", "item": "no-such"}, "discount, item"),
        ("payments/", {"amount": "0", "how": "cash"}, "payment, amount"),
        ("payments/", {"amount": "-0.01", "how": "cash"}, "payment, amount"),
        ("payments/", {"amount": "5", "how": "cash", "received_on": "2999-01-01"}, "payment, received_on"),
    ],
)
def test_what_cannot_be_set_is_refused_by_its_place(ask, send, job, path, wrong, where):
    before = ask(JOB).content
    answer = send("post", f"{JOB}{path}", wrong)
    assert answer.status_code == 422
    assert [error["where"] for error in answer.json()["errors"]] == [where]
    assert ask(JOB).content == before


def test_every_figure_of_the_estimate_is_explained_with_the_very_amounts_it_has(ask, send, job):
    send("post", f"{JOB}discounts/", {"percent": "10", "reason": "regular customer"})
    document, answer = ask(f"{JOB}estimate/").json(), ask(f"{JOB}estimate/explanation/")
    figures = {one["key"]: one for one in answer.json()["figures"]}
    for name in ("firm", "ceiling", "options"):
        assert figures[name]["value"] == document["totals"][name]["with_tax"]
    assert figures["labour"]["value"] == document["labour"]["amount"]
    for one in (item for items in document["groups"].values() for item in items):
        assert figures[f"item/{one['key']}"]["value"] == one["net"]
        assert [line["value"] for line in figures[f"item/{one['key']}"]["parts"]] == [
            line["net"] for line in one["lines"]
        ]
    assert figures["discount"]["value"] == document["totals"]["firm"]["allowances"]
    assert "cost of" in answer.content.decode()
    assert "cost" not in ask(f"{JOB}estimate/").content.decode()


def test_a_job_file_brings_what_is_set_on_its_price_and_keeping_it_changes_nothing(
    as_owner, ask, job_file, workshop
):
    by_hand = {
        "lines": [{**WASH, "unit_cost": "55"}, {**WASH, "group": "optional"}],
        "discounts": [{"item": "hand:1", "amount": "8", "reason": "waited long"}],
        "payments": [{"amount": "30", "how": "cash", "received_on": "2026-01-05"}],
    }
    built = as_owner.post("/api/v1/estimates/build/", {**job_file, **by_hand}).json()
    (line,) = [item for item in built["groups"]["firm"] if item["by_hand"]]
    assert (line["gross"], line["net"]) == ("80.00", "72.00")
    assert built["totals"]["firm"]["prepaid"] == "30.00"
    kept = as_owner.post("/api/v1/jobs/", {**job_file, **by_hand}).json()
    assert [line["key"] for line in kept["hand_lines"]] == ["hand:1", "hand:2"]
    assert ask(f"jobs/{kept['number']}/estimate/").json()["totals"] == built["totals"]
    wrong = {
        **by_hand,
        "lines": [{**WASH, "key": "hand:2"}, {**WASH, "key": "hand:2"}],
        "payments": [{"amount": "-1", "how": "cash"}],
    }
    answer = as_owner.post("/api/v1/estimates/build/", {**job_file, **wrong})
    assert [e["where"] for e in answer.json()["errors"]] == ["lines[1], key", "payments[0], amount"]


def test_an_issued_estimate_keeps_what_a_written_line_costs_beside_the_document_not_in_it(ask, send, job):
    send("post", f"{JOB}hand-lines/", {**WASH, "unit_cost": "55.25"})
    send("post", f"{JOB}discounts/", {"percent": "10", "reason": "regular customer"})
    issued = send("post", f"{JOB}estimates/")
    assert issued.status_code == 201
    row = IssuedLine.objects.get(item="hand:1")
    assert (row.kind, row.net, row.unit_cost) == ("by-hand", Decimal("80"), Decimal("55.25"))
    assert "55.25" not in row.estimate.document
