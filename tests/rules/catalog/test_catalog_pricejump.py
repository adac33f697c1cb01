"""How far a price moved. The figures were worked out by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.pricejump import Move, dearer, is_held

amounts = st.decimals("0", "99999", places=4)


@pytest.mark.parametrize(
    ("old", "new", "amount", "percent"),
    [
        ("40.00", "43.00", "3.00", "7.5"),
        ("25.70", "257.00", "231.30", "900.0"),
        ("3.06", "3.18", "0.12", "3.9"),  # 0.12 / 3.06 = 0.039215...
        ("8.00", "6.00", "-2.00", "-25.0"),
        ("0.80", "0.81", "0.01", "1.3"),  # 1.25 %, an exact half goes away from zero
    ],
)
def test_a_move_is_told_as_amount_and_percent_of_the_old_price(old, new, amount, percent):
    move = Move(Decimal(old), Decimal(new))
    assert (move.amount, move.percent) == (Decimal(amount), Decimal(percent))


def test_a_rise_from_nothing_has_no_percentage():
    assert Move(Decimal(0), Decimal(5)).percent is None


@pytest.mark.parametrize(("new", "held"), [("124.99", False), ("125.00", False), ("125.01", True)])
def test_a_rise_is_held_above_the_percentage_and_not_at_it(new, held):
    assert is_held(Decimal("100.00"), Decimal(new), Decimal(25)) is held


@pytest.mark.parametrize(("new", "held"), [("75.01", False), ("75.00", False), ("74.99", True)])
def test_a_fall_counts_like_a_rise(new, held):
    assert is_held(Decimal("100.00"), Decimal(new), Decimal(25)) is held


def test_any_price_after_nothing_is_held():
    assert is_held(Decimal(0), Decimal("0.01"), Decimal(9999))


@given(amounts, amounts, st.decimals("0", "999", places=1))
def test_nothing_is_held_that_does_not_move_and_everything_that_moves_at_zero_percent(old, new, percent):
    assert not is_held(old, old, percent)
    assert is_held(old, new, Decimal(0)) is (old != new)


@pytest.mark.parametrize(("each", "told"), [("3.99", False), ("4.00", False), ("4.01", True)])
def test_a_break_is_told_when_it_costs_more_than_a_single_piece(each, told):
    assert bool(dearer(Decimal("4.00"), [(10, Decimal(each))])) is told
