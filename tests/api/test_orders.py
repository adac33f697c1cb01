"""The parameter `ordering`: what it may say, and what it does to a list and its pages."""

from datetime import date
from typing import Any

import pytest

from catalog.models import Offer, Source

pytestmark = pytest.mark.django_db


@pytest.fixture
def offers(catalogue: Any) -> str:
    """Six offers of one part: prices 3 1 2 2 1 3, with and without an end."""
    Offer.objects.all().delete()
    for index, (price, until) in enumerate(zip((3, 1, 2, 2, 1, 3), (None, 5, None, 2, 9, 7), strict=True)):
        Offer.objects.create(
            supplier=catalogue.north, part=catalogue.parts[0], price=price, lead_days=index,
            valid_from=date(2024, 1, index + 1), valid_until=until and date(2025, 1, until),
        )  # fmt: skip
    return "offers/"


def days(answer: Any, name: str = "lead_days") -> list[Any]:
    assert answer.status_code == 200, answer.content
    return [row[name] for row in answer.json()["results"]]


@pytest.mark.parametrize(
    ("ordering", "lead_days"),
    [
        ("price,lead_days", [1, 4, 2, 3, 0, 5]),
        ("price,-lead_days", [4, 1, 3, 2, 5, 0]),
        ("-price,lead_days", [0, 5, 2, 3, 1, 4]),
        ("lead_days", [0, 1, 2, 3, 4, 5]),
        # Without an end is last in both directions.
        ("valid_until,lead_days", [3, 1, 5, 4, 0, 2]),
        ("-valid_until,lead_days", [4, 5, 1, 3, 0, 2]),
    ],
)
def test_the_first_name_goes_first_and_the_next_ones_decide_between_equals(ask, offers, ordering, lead_days):
    assert days(ask(offers, number="GX-1042/B", ordering=ordering)) == lead_days


def test_the_following_page_keeps_the_order(as_colleague, ask, offers):
    first = ask(offers, number="GX-1042/B", ordering="-price,lead_days", limit="2")
    assert days(first) == [0, 5]
    assert days(as_colleague.get(first.json()["next"])) == [2, 3]


@pytest.mark.parametrize(
    ("taken_with", "used_with", "told"),
    [("price", "-price", "ordering=price"), ("price", None, "ordering=price"), (None, "price", "no ordering"),
     ("price,lead_days", "lead_days,price", "ordering=price,lead_days")],
)  # fmt: skip
def test_a_cursor_of_another_order_is_refused_and_says_which_it_is_of(
    ask, offers, taken_with, used_with, told
):
    def query(ordering: str | None) -> dict[str, str]:
        return {"number": "GX-1042/B", "limit": "2"} | ({"ordering": ordering} if ordering else {})

    following = ask(offers, **query(taken_with)).json()["next"]
    cursor = following.split("cursor=")[1].split("&")[0]
    answer = ask(offers, **query(used_with), cursor=cursor)
    assert answer.status_code == 400
    error = answer.json()["errors"][0]
    assert error["where"] == "query parameter cursor"
    assert error["right"].startswith(f"give {told} with it")


@pytest.mark.parametrize(
    "ordering",
    ["colour", "price,", ",price", "--price", "price lead_days", "Price", "id", "pk", "part__id", "-"],
)
def test_an_order_that_is_not_offered_is_refused_with_those_that_are(ask, offers, ordering):
    answer = ask(offers, number="GX-1042/B", ordering=ordering)
    assert answer.status_code == 400
    assert "lead_days" in answer.json()["errors"][0]["right"]


@pytest.mark.parametrize("ordering", ["price,price", "price,-price"])
def test_an_order_named_twice_is_refused(ask, offers, ordering):
    assert ask(offers, number="GX-1042/B", ordering=ordering).status_code == 400


def test_a_long_list_is_sorted_only_where_a_filter_leaves_few_rows(ask, offers):
    answer = ask(offers, ordering="price")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["right"] == "give one of number, supplier_number as well"
    assert ask(offers).status_code == 200


def test_a_list_without_other_orders_says_so(ask, catalogue):
    answer = ask("estimates/", ordering="number")
    assert answer.json()["errors"][0]["what"] == "this list has only its own order"


def test_a_row_added_before_the_place_reached_neither_repeats_nor_skips_a_row(as_colleague, ask, db):
    for index in (5, 3, 1):
        Source.objects.create(code=f"s{index}", title=f"s{index}")
    first = ask("sources/", ordering="-title", limit="1").json()
    Source.objects.create(code="s9", title="s9")
    Source.objects.create(code="s4", title="s4")
    rest = as_colleague.get(first["next"].replace("limit=1", "limit=9")).json()["results"]
    assert [row["code"] for row in first["results"] + rest] == ["s5", "s4", "s3", "s1"]
