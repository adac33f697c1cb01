"""The list to collect parts with: kept while somebody is signed in, judged and priced anew each time."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import Offer
from tests.web.shelf import Shelf, ready_shelf

ENGINE = "family=hg-v4&option-heater-connector=9-way"


@pytest.fixture
def shelf(db: None) -> Shelf:
    return ready_shelf()


def put(client, part, pieces=1, supplier="", question=ENGINE):
    given = {"part": part.pk, "pieces": pieces, "supplier": supplier, "question": question}
    return client.post(reverse("shelf-list-add"), given)


def the_list(client):
    return client.get(reverse("shelf-list"))


def test_a_part_is_put_on_the_list_from_its_answer_and_leads_back_to_it(colleague, shelf):
    response = put(colleague, shelf.parts["GX-1042/B"], 3, "depot")
    assert response["Location"] == f"/counter/?{ENGINE}#answers"
    (line,) = the_list(colleague).context["lines"]
    assert (line.part.number, line.line.pieces, line.verdict.outcome) == ("GX-1042/B", 3, "fits")
    assert line.question == (
        "family=hg-v4&option-heater-connector=9-way&quantity=3&number=GX-1042%2FB&brand=orlin"
    )
    # by hand: packs of 2, so 4 x 15.90 = 63.60
    assert str(line.chosen.landed.goods) == "63.6000"


def test_the_same_again_is_more_pieces_and_another_engine_is_another_line(colleague, shelf):
    for question in (ENGINE, ENGINE, "family=hg-v4"):
        put(colleague, shelf.parts["GX-1042/B"], 2, question=question)
    lines = the_list(colleague).context["lines"]
    assert [(line.line.pieces, line.verdict.outcome) for line in lines] == [(4, "fits"), (2, "cannot tell")]


def test_freight_is_paid_once_an_order_and_currencies_are_not_added(colleague, shelf):
    depot, yard = shelf.suppliers
    depot.freight = Decimal("9.50")
    depot.save()
    yard.currency = "JPY"
    yard.save()
    shelf.offer(shelf.parts["GX-1043"], "10.00")
    put(colleague, shelf.parts["GX-1042/B"], 2, "depot")
    put(colleague, shelf.parts["GX-1043"], 1, "depot")
    put(colleague, shelf.parts["GX-1042/B"], 1, "yard")
    page = the_list(colleague)
    # by hand: 2 x 15.90 + 10.00 = 41.80 of goods, 9.50 of freight once, 2 x 2.50 of deposit: 56.30
    depot, _ = page.context["orders"]
    assert (depot.supplier, str(depot.total)) == ("Depot North", "56.3000")
    assert "Together 56.30 EUR; Together 18 JPY" in page.content.decode()


def test_an_offer_that_is_gone_is_said_and_not_counted(colleague, shelf):
    put(colleague, shelf.parts["GX-1042/B"], 1, "depot")
    Offer.objects.all().delete()
    page = the_list(colleague)
    assert "no longer valid" in page.content.decode()
    assert page.context["orders"] == []


def test_pieces_are_changed_lines_taken_off_and_the_list_emptied(colleague, shelf):
    put(colleague, shelf.parts["GX-1042/B"])
    put(colleague, shelf.parts["GX-1043"])
    change = reverse("shelf-list-change")
    colleague.post(change, {"place": "0", "pieces": "7"})
    colleague.post(change, {"place": "1", "pieces": "1", "off": "1"})
    assert [(one.part.number, one.line.pieces) for one in the_list(colleague).context["lines"]] == [
        ("GX-1042/B", 7)
    ]
    colleague.post(change, {"place": "5", "pieces": "2"})  # a line that another window took off: let be
    colleague.post(change, {"all": "1"})
    assert the_list(colleague).context["lines"] == []


@pytest.mark.parametrize("pieces", ["", "0", "-1", "1.5", "two", "99999", "²"])
def test_pieces_that_cannot_be_read_change_nothing_and_are_said(colleague, shelf, pieces):
    put(colleague, shelf.parts["GX-1043"], 2)
    response = colleague.post(reverse("shelf-list-change"), {"place": "0", "pieces": pieces}, follow=True)
    assert "whole number from 1 to 9999" in response.content.decode()
    assert [line.line.pieces for line in response.context["lines"]] == [2]


@pytest.mark.parametrize(("part", "pieces"), [("", "1"), ("9" * 30, "1"), ("1 OR 1", "1"), ("0", "x")])
def test_a_part_that_is_none_is_not_put_on_the_list(colleague, shelf, part, pieces):
    response = colleague.post(reverse("shelf-list-add"), {"part": part, "pieces": pieces}, follow=True)
    assert "Not put on the list" in response.content.decode()
    assert the_list(colleague).context["lines"] == []


def test_engine_facts_that_no_longer_read_leave_the_line_unjudged(colleague, shelf):
    put(colleague, shelf.parts["GX-1043"], question="family=hg-v4&built=June")
    (line,) = the_list(colleague).context["lines"]
    assert (line.verdict, "ask again" in line.trouble) == (None, True)


def test_a_longer_list_asks_the_database_no_more_often(colleague, shelf, django_assert_num_queries):
    put(colleague, shelf.parts["GX-1042/B"], 1, "depot")
    with CaptureQueriesContext(connection) as few:
        the_list(colleague)
        sent = len(few)
    for number in range(20):
        part = shelf.part(f"N-{number}")
        shelf.fits(part)
        shelf.offer(part, "10")
        put(colleague, part, 1, "depot")
    with django_assert_num_queries(sent):
        assert len(the_list(colleague).context["lines"]) == 21


def test_the_list_is_ones_own(colleague, owner, shelf):
    put(colleague, shelf.parts["GX-1043"])
    assert the_list(owner).context["lines"] == []
