"""`fields`: chosen members of rows, of every list and of single rows."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.api.conftest import catalogue_lists

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


def asked(ask: Any, address: str, **query: str) -> tuple[list[dict[str, Any]], int]:
    with CaptureQueriesContext(connection) as statements:
        answer = ask(address, **query)
    assert answer.status_code == 200, answer.content
    return answer.json()["results"], len(statements)


@pytest.mark.parametrize("address", catalogue_lists())
def test_each_member_alone_is_as_it_is_among_all_and_costs_no_more(ask, catalogue, address):
    whole, most = asked(ask, f"{address}/")
    for name in whole[0]:
        chosen, statements = asked(ask, f"{address}/", fields=name)
        assert chosen == [{name: row[name]} for row in whole]
        # A join left out too many would be made up for by a statement for each row.
        assert statements <= most, name


def test_members_come_in_the_order_asked_for(ask, catalogue):
    rows, _ = asked(ask, "parts/", fields="number,grade,brand")
    assert list(rows[0]) == ["number", "grade", "brand"]


@pytest.mark.parametrize(
    ("address", "fields", "joined"), [("parts/", "number", False), ("parts/", "number,brand", True)]
)
def test_a_table_that_nobody_asked_for_is_not_joined(ask, catalogue, address, fields, joined):
    with CaptureQueriesContext(connection) as statements:
        ask(address, fields=fields)
    assert ("catalog_brand" in statements.captured_queries[-1]["sql"]) is joined


def test_rows_beside_that_nobody_asked_for_are_not_read(ask, catalogue):
    _, few = asked(ask, "operations/", fields="code,minutes")
    _, all_of_it = asked(ask, "operations/")
    # Five lists below the rows, and the keys, which are read apart only to join something to their rows.
    assert few == all_of_it - 6


def test_a_single_row_has_chosen_members_too(ask, catalogue):
    answer = ask("parts/lumo/GX1042B/", fields="number,replaced_by")
    assert list(answer.json()) == ["number", "replaced_by"]
    assert answer.json()["replaced_by"][0]["part"]["number"] == "GX-2042"


@pytest.mark.parametrize("address", ["parts/", "parts/lumo/GX1042B/"])
@pytest.mark.parametrize("fields", ["colour", "number,", "Number", "part.number", "number, brand"])
def test_a_member_that_rows_do_not_have_is_refused_with_those_they_have(ask, catalogue, address, fields):
    answer = ask(address, fields=fields)
    assert answer.status_code == 400
    error = answer.json()["errors"][0]
    assert error["where"] == "query parameter fields"
    assert "brand, brand_name, number" in error["right"]


def test_a_member_named_twice_is_refused(ask, catalogue):
    assert ask("parts/", fields="number,number").status_code == 400


def test_fields_order_and_paging_go_together(as_colleague, ask, catalogue):
    first = ask("parts/", fields="number", brand="lumo", ordering="-number", limit="1").json()
    assert first["results"] == [{"number": "GX-2042"}]
    assert as_colleague.get(first["next"]).json()["results"] == [{"number": "GX-1042/B"}]
