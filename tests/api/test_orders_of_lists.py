"""Lists in another order: the whole list sorted, and the same list in pages, on both databases.

That a page starts where the one before ended is checked against the whole list as the database sorts it, and
that order against Python's own comparison of the values; not that of texts, since how letters sort is the
database's collation.
"""

from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from shop.api.ordering import ordered
from shop.api.pagination import KeyPagination, _order
from tests.api.conftest import catalogue_lists

LISTS = {address: view for address, view in catalogue_lists().items() if view.orders}


def request(**query: str) -> Request:
    return Request(APIRequestFactory().get("/api/v1/x/", query))


def pages(rows: Any, view: Any, limit: int, ordering: str) -> list[list[Any]]:
    """The pages that a client following `next` gets."""
    found, cursor = [], None
    while True:
        query = {"limit": str(limit)} | ({"ordering": ordering} if ordering else {})
        paging = KeyPagination()
        found.append(
            paging.paginate_queryset(rows, request(**query, **({"cursor": cursor} if cursor else {})), view)
        )
        cursor = paging.following
        if cursor is None:
            return found
        assert len(found) < 500, "the pages do not end"


@pytest.mark.django_db
@pytest.mark.parametrize("address", LISTS)
@given(data=st.data())
@settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_pages_of_any_size_in_any_order_give_every_row_once_and_in_order(demo_catalogue, address, data):
    listed = LISTS[address]
    view = SimpleNamespace(page_key=listed.page_key, orders=listed.orders, order_within=())
    rows = listed.queryset.select_related(None).prefetch_related(None)
    names = data.draw(st.lists(st.sampled_from(sorted(view.orders)), max_size=3, unique=True), "orders")
    signs = data.draw(st.lists(st.sampled_from(["", "-"]), min_size=3, max_size=3), "directions")
    ordering = ",".join(sign + name for sign, name in zip(signs, names, strict=False))
    count = rows.count()
    limit = data.draw(st.integers(max(1, count // 12), min(500, count + 1)), "limit")

    order = _order(ordering, rows.model, request(), view)
    whole = list(ordered(rows, order))
    assert len({row.pk for row in whole}) == len(whole) == count
    if ordering:
        for before, after in pairwise(whole):
            in_order(before, after, order)
    cut = pages(rows, view, limit, ordering)
    assert [row.pk for page in cut for row in page] == [row.pk for row in whole]
    assert {len(page) for page in cut[:-1]} <= {limit}


def in_order(before: Any, after: Any, order: Any) -> None:
    for one in order:
        first, second = getattr(before, one.name), getattr(after, one.name)
        if first == second:
            continue
        if first is None or second is None:
            assert second is None, f"{one.path}: a row without a value stands before one with it"
        elif not isinstance(first, str):
            assert (first > second) if one.descending else (first < second), one.path
        return
    pytest.fail("two rows share a place")
