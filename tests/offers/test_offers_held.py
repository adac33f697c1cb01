"""Held prices: nothing of them is written until a person accepts; a decision is final and on record."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth.models import User

from catalog.models import HeldPrice, Offer
from catalog.offers.held import decide, waiting_for
from shop.models import Event
from shop.rules.errors import Refused
from tests.offers.conftest import WHO

LATER = date(2026, 4, 1)


@pytest.fixture
def held(clerk):
    """Two of the supplier's prices slipped their decimal point; one has breaks as well."""
    for row in clerk.rows:
        row["price"] = "10.00"
    clerk.take()
    clerk.header = (*clerk.header, "price_from_10")
    clerk.rows[0] |= {"price": "100.00", "price_from_10": "95.00", "pack": "2"}
    clerk.rows[1] |= {"price": "1.00"}
    clerk.take(valid_from=LATER)
    return list(waiting_for(clerk.supplier))


def test_a_held_price_keeps_its_whole_row_and_is_no_offer(clerk, held):
    first, second = held
    assert (first.row, first.old_price, first.price) == (2, Decimal(10), Decimal(100))
    assert (first.pack, first.breaks, first.valid_from) == (2, "10:95.0000", LATER)
    assert (second.row, second.breaks, second.state) == (3, "", "waiting")
    assert Offer.objects.filter(valid_from=LATER).count() == 0


def test_an_accepted_price_is_written_as_it_stood_in_the_file(clerk, held):
    by = User.objects.create_user("clerk")
    decide(clerk.supplier, [held[0].pk], replace(WHO, by=by), accept=True)
    offer = Offer.objects.get(valid_from=LATER)
    assert (offer.part_id, offer.price, offer.pack) == (held[0].part_id, Decimal(100), 2)
    assert (offer.supplier_number, offer.supplier_normalised) == ("100000", "100000")
    assert list(offer.breaks.values_list("quantity_from", "price")) == [(10, Decimal(95))]
    held[0].refresh_from_db()
    assert (held[0].state, held[0].decided_by, held[0].decided_at) == ("accepted", by, WHO.at)
    assert [price.pk for price in waiting_for(clerk.supplier)] == [held[1].pk]
    event = Event.objects.get(what="held-price-accepted")
    assert (event.by, event.subject, event.detail["new"]) == (by, "depot", "100.0000")


def test_a_refused_price_leaves_the_old_one(clerk, held):
    decide(clerk.supplier, None, WHO, accept=False)
    assert Offer.objects.filter(valid_from=LATER).count() == 0
    assert set(HeldPrice.objects.values_list("state", flat=True)) == {"refused"}
    assert Event.objects.filter(what="held-price-refused").count() == 2


def test_what_is_decided_cannot_be_decided_again_and_then_nothing_is(clerk, held):
    decide(clerk.supplier, [held[0].pk], WHO, accept=False)
    with pytest.raises(Refused, match="does not wait"):
        decide(clerk.supplier, [held[0].pk, held[1].pk], WHO, accept=True)
    assert Offer.objects.filter(valid_from=LATER).count() == 0


def test_a_newer_file_that_speaks_of_the_part_overtakes_what_waited(clerk, held):
    clerk.rows[0] |= {"price": "10.50", "price_from_10": ""}
    del clerk.rows[1]
    clerk.take(valid_from=LATER)
    states = dict(HeldPrice.objects.values_list("part__number", "state"))
    assert sorted(states.values()) == ["overtaken", "waiting"]
    assert Offer.objects.get(valid_from=LATER, part=held[0].part_id).price == Decimal("10.50")
