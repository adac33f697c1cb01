"""Buying, the work, closing and the shop's history through the API."""

import json
from datetime import timedelta
from decimal import Decimal

import jsonschema
import pytest
from django.utils import timezone
from test_openapi import closed

from catalog.models import Offer, Stock
from estimates.decisions import decide
from estimates.models import Job, PurchaseLine
from estimates.models import Reading as Kept

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


@pytest.fixture
def agreed(as_owner, workshop, job_file):
    """A job whose firm work is agreed to; its number."""
    new = workshop.parts[1]  # what replaced the heater: one lies on the shelf, another one is ordered
    first = timezone.localdate() - timedelta(days=30)
    Offer.objects.create(supplier=workshop.north, part=new, price=Decimal("18.40"), valid_from=first)
    Stock.objects.create(part=new, quantity=1, unit_cost=Decimal("17.00"), currency="EUR")
    job_file["findings"][0]["standing"] = "confirmed"
    job_file["unit"]["options"] = {"heater-connector": "9-way"}
    made = as_owner.post("/api/v1/jobs/", job_file, format="json")
    assert made.status_code == 201, made.content
    number = made.json()["number"]
    issued = as_owner.post(f"/api/v1/jobs/{number}/estimates/", headers={"If-Match": "*"})
    assert issued.status_code == 201, issued.content
    estimate = Job.objects.get(number=number).estimates.get()
    firm = json.loads(estimate.document)["groups"]["firm"]
    keys = [one["key"] for one in firm if not one["done"] and one["key"] != "access"]
    decide(estimate, keys, name="H. Harrow", way="desk", at=timezone.localtime(), sha256=estimate.sha256)
    return number


@pytest.fixture
def schema(as_stranger):
    return as_stranger.get("/api/v1/schema/").json()


def held(document, path, answer):
    """The answer, held against the OpenAPI document."""
    assert answer.status_code == 200, answer.content
    content = document["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
    strict = closed({**content, "components": document["components"]})
    jsonschema.validate(answer.json(), strict, jsonschema.Draft202012Validator)
    return answer.json()


def change(client, method, number, path, body):
    address = f"/api/v1/jobs/{number}/{path}/"
    return getattr(client, method)(address, body, format="json", headers={"If-Match": "*"})


def test_the_whole_way_through_the_api_is_as_documented(as_owner, ask, agreed, schema):
    path = "/api/v1/jobs/{number}/"
    wanted = held(schema, f"{path}purchase-list/", ask(f"jobs/{agreed}/purchase-list/"))
    one = next(one for one in wanted["suppliers"] if one["supplier"])
    assert [one["name"] for one in wanted["suppliers"]] == ["own stock", "North Parts"]
    parts = [
        {"part": f"{line['brand']}/{line['number']}", "quantity": line["to_order"], "unit_cost": "18.40"}
        for line in one["lines"]
    ]
    order = {"supplier": one["supplier"], "parts": parts}
    assert change(as_owner, "post", agreed, "purchases", order).status_code == 200
    (line,) = PurchaseLine.objects.all()
    shelf = {"supplier": "", "parts": [{**parts[0], "quantity": 2}]}
    refused = change(as_owner, "post", agreed, "purchases", shelf)
    assert "2 are wanted, and 1 lie on the shelf" in refused.content.decode()
    shelf["parts"][0]["quantity"] = 1
    assert change(as_owner, "post", agreed, "purchases", shelf).status_code == 200
    for body, words in (
        ({"supplier": "nobody", "parts": parts}, "no supplier 'nobody'"),
        ({"supplier": one["supplier"], "parts": []}, "has no parts in it"),
        ({"supplier": one["supplier"], "parts": [{**parts[0], "quantity": 0}]}, "not a whole number"),
    ):
        refused = change(as_owner, "post", agreed, "purchases", body)
        assert refused.status_code == 422
        assert words in refused.content.decode()
    came = {"came": [{"line": line.pk, "quantity": line.quantity + 1}]}
    assert change(as_owner, "post", agreed, "receipts", came).status_code == 422
    came["came"][0]["quantity"] = line.quantity
    assert change(as_owner, "post", agreed, "receipts", came).status_code == 200
    again = held(schema, f"{path}purchase-list/", ask(f"jobs/{agreed}/purchase-list/"))
    assert [one["missing"] for order in again["orders"] for one in order["lines"]] == [0, 0]

    work = held(schema, f"{path}work/", ask(f"jobs/{agreed}/work/"))
    given = {
        "minutes": [{"work": row["work"], "minutes": row["estimated"] + 3} for row in work["minutes"]],
        "parts": [
            {"item": row["item"], "part": row["part"], "quantity": row["estimated"]} for row in work["parts"]
        ],
    }
    assert change(as_owner, "put", agreed, "work", given).status_code == 200
    work = held(schema, f"{path}work/", ask(f"jobs/{agreed}/work/"))
    assert all(row["minutes"] == row["estimated"] + 3 for row in work["minutes"])
    assert all(row["quantity"] == row["estimated"] for row in work["parts"])
    wrong = change(as_owner, "put", agreed, "work", {"minutes": [{"work": "nothing@1", "minutes": 4}]})
    assert wrong.status_code == 422

    assert ask(f"jobs/{agreed}/closing/").status_code == 404
    assert change(as_owner, "post", agreed, "closing", {"note": "Done."}).status_code == 200
    answer = ask(f"jobs/{agreed}/closing/")
    document = held(schema, f"{path}closing/", answer)
    assert document["shop"]["difference"] == 3 * len(work["minutes"])
    assert answer["ETag"].strip('"') == Job.objects.get(number=agreed).closing.sha256
    assert ask(f"jobs/{agreed}/closing/pdf/").content.startswith(b"%PDF")
    before = Kept.objects.count()
    refused = change(
        as_owner,
        "post",
        agreed,
        "readings",
        {"readings": [{"test_point": "heater-ohm", "position": "2", "value": "0.9"}]},
    )
    assert (refused.status_code, Kept.objects.count()) == (422, before)
    assert "its closing statement stands" in refused.content.decode()

    found = held(schema, "/api/v1/labour-history/", ask("labour-history/", family="nk4"))
    assert {row["count"] for row in found["results"]} == {1}
    assert all(row["proposed"] is None for row in found["results"]), "once is not often enough"
    assert ask("labour-history/", family="nobody").status_code == 400


def test_the_list_comes_as_csv_and_as_pdf(ask, agreed):
    rows = ask(f"jobs/{agreed}/purchase-list/", headers={"Accept": "text/csv"}).content.decode()
    assert rows.startswith("job,estimate,revision,decided,")
    pdf = ask(f"jobs/{agreed}/purchase-list/", headers={"Accept": "application/pdf"})
    assert pdf.content.startswith(b"%PDF")


def test_somebody_who_may_only_read_orders_nothing(as_colleague, agreed):
    assert change(as_colleague, "post", agreed, "purchases", {"supplier": "", "parts": []}).status_code == 403
