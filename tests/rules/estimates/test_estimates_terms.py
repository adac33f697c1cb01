"""The shop's own figures: billed hours, sell prices worked out once, supplies and their cap."""

from decimal import Decimal

import pytest

from shop.rules.errors import Refused
from shop.rules.markup import MarkupBand
from tests.rules.estimates.small_engine import D, terms


@pytest.mark.parametrize(
    ("minutes", "hours", "price"),
    [
        # tenths of an hour are 6 minutes: the half of one, 3 minutes, goes up (common practice, no source)
        (0, "0.0", "0.00"),
        (2, "0.0", "0.00"),
        (3, "0.1", "6.00"),
        (8, "0.1", "6.00"),
        (9, "0.2", "12.00"),
        (57, "1.0", "60.00"),
        (60, "1.0", "60.00"),
        (63, "1.1", "66.00"),
    ],
)
def test_labour_is_billed_in_tenths_rounded_once_on_the_total(minutes, hours, price):
    assert terms().labour_price(minutes) == (D(hours), D(price))


def test_the_price_of_the_hours_is_rounded_to_the_currency():
    # 0.1 h at 95.55 = 9.555 -> 9.56; in yen 0.1 h at 9555 = 955.5 -> 956
    assert terms(labour_rate=D("95.55")).labour_price(6)[1] == D("9.56")
    assert terms(labour_rate=D("9555"), currency="JPY").labour_price(6)[1] == D("956")


def test_the_same_cost_and_list_price_is_worked_out_once():
    how = terms(bands=(MarkupBand(D("0"), D("60")),))
    assert how.sell(D("10.00"), None) is how.sell(D("10.00"), None)
    assert how.sell(D("10.00"), D("12.00")).amount == D("12.00")
    assert how.sell(D("10.00"), None).amount == D("16.00")


@pytest.mark.parametrize(
    ("labour", "supplies", "capped"),
    [("83.29", "2.50", False), ("83.33", "2.50", False), ("83.49", "2.50", False), ("83.50", "2.50", True)],
)
def test_supplies_below_at_and_above_their_cap(labour, supplies, capped):
    # 3 %: 2.4987, 2.4999, 2.5047 -> 2.50 each; 2.505 -> 2.51, held at 2.50
    how = terms(supplies_percent=D("3"), supplies_cap=D("2.50"))
    assert (how.supplies(D(labour)), how.supplies_capped(D(labour))) == (D(supplies), capped)


def test_a_cap_finer_than_the_currency_is_rounded_with_it():
    how = terms(supplies_percent=D("50"), supplies_cap=D("2.4950"))
    assert how.supplies(D("100.00")) == D("2.50")


def test_a_category_nobody_taxes_carries_no_tax():
    assert terms(taxes={"labour": ("vat",)}).tax_keys("parts") == ()


def test_a_ladder_that_does_not_start_at_nothing_is_refused():
    with pytest.raises(Refused, match="start at cost 0"):
        terms(bands=(MarkupBand(D("5"), D("60")),)).sell(Decimal(10), None)
