"""Landed cost worked out by hand, below, at and above each boundary (our own arithmetic)."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.landed import Terms, freight, landed

DAY = date(2026, 3, 10)


def terms(**given: object) -> Terms:
    usual = {
        "price": Decimal("10.00"), "breaks": ((5, Decimal("9.00")), (20, Decimal("7.50"))), "pack": 1,
        "minimum": 1, "deposit": Decimal("2.00"), "freight": Decimal("6.90"), "free_from": Decimal("90.00"),
        "lead_days": 2, "stated_on": date(2026, 1, 1), "stale_after_days": 60,
    }  # fmt: skip
    return Terms(**(usual | given))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("asked", "each", "goods", "charged", "deposit", "total"),
    [
        (1, "10.00", "10.00", "6.90", "2.00", "18.90"),
        (4, "10.00", "40.00", "6.90", "8.00", "54.90"),
        (5, "9.00", "45.00", "6.90", "10.00", "61.90"),
        (9, "9.00", "81.00", "6.90", "18.00", "105.90"),
        (10, "9.00", "90.00", "0", "20.00", "110.00"),
        (20, "7.50", "150.00", "0", "40.00", "190.00"),
    ],
)
def test_the_break_reached_freight_and_deposit_make_the_landed_cost(
    asked, each, goods, charged, deposit, total
):
    found = landed(terms(), asked, DAY)
    assert (found.each, found.goods, found.freight, found.deposit, found.total) == tuple(
        Decimal(figure) for figure in (each, goods, charged, deposit, total)
    )


@pytest.mark.parametrize(("asked", "ordered"), [(1, 8), (6, 8), (7, 8), (8, 8), (9, 12)])
def test_whole_packs_of_at_least_the_minimum_are_ordered(asked, ordered):
    # packs of 4 and at least 6: 6 is no whole pack, so 8
    found = landed(terms(pack=4, minimum=6), asked, DAY)
    assert found.pieces == ordered
    # packs of 2 and at least 6
    assert landed(terms(pack=2, minimum=6), asked, DAY).pieces == (6 if asked < 7 else asked + asked % 2)


def test_rounding_up_to_a_pack_may_reach_a_break():
    found = landed(terms(pack=5), 4, DAY)
    assert (found.pieces, found.more, found.reached, found.goods) == (5, 1, 5, Decimal("45.00"))


@pytest.mark.parametrize(("goods", "charged"), [("89.99", "6.90"), ("90.00", "0"), ("90.01", "0")])
def test_freight_is_free_from_the_amount_on_that_amount_included(goods, charged):
    assert freight(Decimal(goods), Decimal("6.90"), Decimal("90.00")) == Decimal(charged)
    assert freight(Decimal(goods), Decimal("6.90"), None) == Decimal("6.90")


@pytest.mark.parametrize(("day", "stale"), [(1, None), (2, None), (3, 61)])
def test_a_price_is_stale_on_the_day_after_its_last(day, stale):
    # 1 January and 60 days: 2 March 2026
    assert landed(terms(), 1, date(2026, 3, day)).stale_days == stale


def test_it_is_here_after_the_lead_time_in_calendar_days():
    assert landed(terms(lead_days=0), 1, DAY).arrival == DAY
    assert landed(terms(lead_days=22), 1, DAY).arrival == date(2026, 4, 1)


@given(st.integers(1, 500), st.integers(1, 12), st.integers(1, 40))
def test_what_is_ordered_is_the_least_that_can_be_had(asked, pack, minimum):
    found = landed(terms(pack=pack, minimum=minimum), asked, DAY)
    fits = [n for n in range(1, 600) if n % pack == 0 and n >= minimum and n >= asked]
    assert found.pieces == fits[0]
    assert found.each_landed * found.pieces == found.total
    assert found.each_kept * found.pieces == found.total - found.deposit
