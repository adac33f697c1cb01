"""Paging by key: every row once, in order, however the rows are cut into pages."""

import base64
import json
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Brand, Part, PartType, Property, Spec
from shop.api import pagination

pytestmark = pytest.mark.django_db


def walk(client: Any, address: str) -> list[list[dict[str, Any]]]:
    """The pages from this address on, following `next`."""
    pages = []
    following: str | None = address
    while following:
        answer = client.get(following)
        assert answer.status_code == 200, answer.content
        pages.append(answer.json()["results"])
        following = answer.json()["next"]
        assert len(pages) < 100, "the pages do not end"
    return pages


@pytest.fixture
def parts(db: None) -> list[str]:
    """Eleven parts of two brands, in the order of brand (as entered) and normalised number."""
    kind = PartType.objects.create(code="hose", name="hose")
    brands = [Brand.objects.create(code=code, name=code) for code in ("zeta", "alfa")]
    numbers = {"zeta": ["1", "10", "2", "A-1", "a2", "B"], "alfa": ["1", "3", "5", "7", "9"]}
    for brand in brands:
        for number in reversed(numbers[brand.code]):
            Part.objects.create(brand=brand, number=number, part_type=kind, grade="equivalent")
    return [f"{brand.code} {number}" for brand in brands for number in numbers[brand.code]]


@pytest.mark.parametrize("limit", [1, 2, 3, 10, 11, 12])
def test_pages_of_any_size_give_every_row_once_and_in_order(as_colleague, parts, limit):
    pages = walk(as_colleague, f"/api/v1/parts/?limit={limit}")
    assert [f"{row['brand']} {row['number']}" for page in pages for row in page] == parts
    assert [len(page) for page in pages[:-1]] == [limit] * (len(pages) - 1)


def test_a_row_added_before_the_place_reached_neither_repeats_nor_skips_a_row(as_colleague, parts):
    first = as_colleague.get("/api/v1/parts/?limit=4").json()
    Part.objects.create(
        brand=Brand.objects.get(code="zeta"), number="0", part_type=PartType.objects.get(), grade="equivalent"
    )
    rest = walk(as_colleague, first["next"])
    seen = first["results"] + [row for page in rest for row in page]
    assert [f"{row['brand']} {row['number']}" for row in seen] == parts


def test_rows_without_a_value_in_the_key_are_on_some_page_too(as_colleague, catalogue):
    Spec.objects.all().delete()
    for index, nominal in enumerate([None, "3", None, "1", "2", "2", None]):
        Spec.objects.create(
            property=catalogue.torque, part_type=catalogue.heater, family=catalogue.family,
            condition=str(index), nominal=nominal and Decimal(nominal), text="" if nominal else "hand-tight",
            source=catalogue.source,
        )  # fmt: skip
    rows = [row for page in walk(as_colleague, "/api/v1/specs/?limit=2") for row in page]
    assert sorted(row["condition"] for row in rows) == ["0", "1", "2", "3", "4", "5", "6"]
    assert [row["nominal"] for row in rows if row["nominal"]] == ["1", "2", "2", "3"]


def test_a_page_costs_no_count_and_no_offset(as_colleague, parts):
    second = as_colleague.get("/api/v1/parts/?limit=2").json()["next"]
    with CaptureQueriesContext(
        connection,
    ) as asked:
        as_colleague.get(second)
    text = " ".join(query["sql"].upper() for query in asked.captured_queries)
    assert "COUNT(" not in text
    assert "OFFSET" not in text


def test_nothing_is_joined_until_it_is_known_which_rows_are_on_the_page(as_colleague, parts):
    with CaptureQueriesContext(connection) as asked:
        rows = as_colleague.get("/api/v1/parts/?limit=2&part_type=hose").json()["results"]
    keys, page = [query["sql"] for query in asked if "LIMIT 3" in query["sql"] or "JOIN" in query["sql"]]
    assert "JOIN" not in keys
    assert '"catalog_brand"' in page
    assert "LIMIT" not in page
    assert [row["number"] for row in rows] == ["1", "10"]


@pytest.mark.parametrize(
    ("asked", "found"),
    [("currency=EUR", 1), ("currency=XTS", 0), ("blocked=false", 1), ("blocked=true", 1)],
)
def test_a_filter_on_the_supplier_leaves_the_offers_in_their_order(as_colleague, catalogue, asked, found):
    with CaptureQueriesContext(connection) as statements:
        assert len(as_colleague.get(f"/api/v1/offers/?{asked}").json()["results"]) == found
    keys = [query["sql"] for query in statements if "LIMIT 51" in query["sql"]]
    assert len(keys) == found
    assert not any("JOIN" in sql for sql in keys)


def test_a_row_taken_away_between_its_key_and_itself_is_left_out_and_the_next_page_follows(
    as_colleague, parts, monkeypatch
):
    read = pagination._rows

    def late(rows: Any, keys: Any) -> list[Any]:
        Part.objects.filter(pk=keys[-1]).delete()
        return read(rows, keys)

    monkeypatch.setattr(pagination, "_rows", late)
    first = as_colleague.get("/api/v1/parts/?limit=4").json()
    monkeypatch.undo()
    rest = walk(as_colleague, first["next"])
    assert [f"{row['brand']} {row['number']}" for row in first["results"]] == parts[:3]
    assert [f"{row['brand']} {row['number']}" for page in rest for row in page] == parts[4:]


def test_the_following_page_is_linked_in_the_header_as_rfc_8288_writes_it(as_colleague, parts):
    answer = as_colleague.get("/api/v1/parts/?limit=2")
    assert answer["Link"] == f'<{answer.json()["next"]}>; rel="next"'


def test_the_last_page_links_nothing(as_colleague, parts):
    answer = as_colleague.get("/api/v1/parts/?limit=11")
    assert answer.json()["next"] is None
    assert "Link" not in answer


@pytest.mark.parametrize("limit", ["1", "500"])
def test_a_limit_up_to_the_cap_is_taken(as_colleague, parts, limit):
    assert as_colleague.get(f"/api/v1/parts/?limit={limit}").status_code == 200


@pytest.mark.parametrize("limit", ["0", "501", "-1", "ten", "1.5", "١", "9" * 30])
def test_a_limit_outside_the_cap_is_refused_and_not_shortened(as_colleague, db, limit):
    answer = as_colleague.get("/api/v1/parts/", {"limit": limit})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["right"] == "give 1 to 500"


# A cursor holds the order it is of, "" for the list's own, and then a value for each column of the order.
def cursor(value: Any) -> str:
    return base64.urlsafe_b64encode(json.dumps(value).encode()).decode().rstrip("=")


@pytest.mark.parametrize(
    "value",
    ["x", "%%%", "é", cursor({}), cursor([]), cursor(["", "1"]), cursor(["", "1", "2", "3"]),
     cursor(["", 1, 2]), cursor(["", "one", "A"]), cursor(["", None, "A"]), cursor(["", "1", "a\x00"]),
     cursor(["", ["1"], "A"]), cursor(["", "9" * 40, "A"]), cursor([None, "1", "A"]), cursor([["1"], "A"]),
     cursor(["number", "A", "1"]), base64.urlsafe_b64encode(b"[" * 700).decode(),
     base64.urlsafe_b64encode(b"[" * 3000).decode()],
)  # fmt: skip
def test_a_made_up_cursor_is_refused(as_colleague, db, value):
    answer = as_colleague.get("/api/v1/parts/", {"cursor": value})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["where"] == "query parameter cursor"


def test_a_cursor_holds_under_another_filter(as_colleague, parts):
    after_third = as_colleague.get("/api/v1/parts/?limit=3").json()["next"].split("cursor=")[1].split("&")[0]
    rows = as_colleague.get(f"/api/v1/parts/?brand=zeta&cursor={after_third}").json()["results"]
    assert [row["number"] for row in rows] == ["A-1", "a2", "B"]


def test_a_number_in_a_cursor_beyond_what_the_column_holds_is_refused(as_colleague, catalogue):
    assert Property.objects.exists()
    for nominal, status in (("1.5", 200), ("1e30", 400)):
        answer = as_colleague.get("/api/v1/specs/", {"cursor": cursor(["", "1", "1", nominal, "1"])})
        assert answer.status_code == status
