"""GET search/: one line, typed hits with their reasons, problem details for a line that says nothing."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Offer
from catalog.search.install import install

pytestmark = pytest.mark.django_db


def test_hits_say_what_they_are_and_why_they_were_found(ask, catalogue):
    answer = ask("search/", q="gx 1042-b").json()
    assert answer["hits"] == [
        {
            "rank": 1, "kind": "part", "found": "number", "key": {"brand": "lumo", "number": "GX-1042/B"},
            "label": "Lumo GX-1042/B", "detail": "glow plug", "why": "the number as asked",
        }
    ]  # fmt: skip
    (family,) = ask("search/", q="nk4").json()["hits"]
    assert (family["kind"], family["key"]) == ("family", {"family": "nk4"})


def test_a_limit_leaves_hits_out_and_says_so(ask, catalogue):
    answer = ask("search/", q="glow plug", limit="2").json()
    assert (len(answer["hits"]), answer["more"]) == (2, True)
    assert ask("search/", q="GX", limit="50").json()["more"] is False


@pytest.mark.parametrize(
    ("query", "where", "right"),
    [
        ({}, "query parameter q", "give what to search for"),
        ({"q": ""}, "query parameter q", "give a value or leave it out"),
        ({"q": " -- / "}, "query parameter q", "give a number, or a few words"),
        ({"q": "x" * 201}, "query parameter q", "search for at most 200 characters"),
        ({"q": "x", "limit": "0"}, "query parameter limit", "give a whole number from 1 to 50"),
        ({"q": "x", "limit": "51"}, "query parameter limit", "give a whole number from 1 to 50"),
        ({"q": "x", "limit": "two"}, "query parameter limit", "give a whole number from 1 to 50"),
        ({"q": "x", "page": "2"}, "query parameter page", "this address takes limit, q"),
    ],
)
@pytest.mark.databases("sqlite")
def test_a_search_that_cannot_be_read_says_where_and_what_would_be_right(ask, catalogue, query, where, right):
    response = ask("search/", **query)
    assert (response.status_code, response["Content-Type"]) == (400, "application/problem+json")
    (error,) = response.json()["errors"]
    assert (error["where"], error["right"]) == (where, right)


@pytest.mark.databases("sqlite")
def test_a_stranger_may_not_search(as_stranger, catalogue):
    assert as_stranger.get("/api/v1/search/", {"q": "nk4"}).status_code == 401


def test_the_statements_do_not_grow_with_the_rows(ask, catalogue):
    install(connection)
    offer = Offer.objects.get(part=catalogue.parts[0])
    offer.supplier_number = "NP 7.7"
    offer.save()

    def sent(line: str) -> int:
        with CaptureQueriesContext(connection) as asked:
            assert ask("search/", q=line).status_code == 200
        return len(asked) - 2  # session and person

    # a number; a supplier's number; words and slips; words that nothing has
    assert [sent(line) for line in ("GX-1042/B", "np-77", "GX-1O42B", "glow plug", "glwo plug")] == [
        1, 1, 3, 3, 6,
    ]  # fmt: skip
