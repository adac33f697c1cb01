"""Overrun limits against the statutes they come from, and at their edges."""

from decimal import Decimal as D

import profiles
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.overrun import Allowance, compare, limit
from shop.rules.errors import Refused

CALIFORNIA = Allowance("none")
"""California Business and Professions Code 9884.9(a), 16 CCR 3354(a): nothing above the authorised price
without a new authorisation."""
FLORIDA = Allowance("higher", D(10), D(10), cap=D(50))
"""Florida Statutes 559.909(1)(b): more than the estimate by 10 dollars or 10 percent, whichever is greater,
but not to exceed 50 dollars."""
WASHINGTON = Allowance("percent", percent=D(10), before_tax=True)
"""Revised Code of Washington 46.71.025: 110 percent of the estimate, exclusive of retail sales tax."""
ONTARIO = Allowance("percent", percent=D(10))
"""Ontario, Consumer Protection Act as told by Community Legal Education Ontario: at most 10 percent over."""


@pytest.mark.parametrize(
    ("rule", "currency", "agreed", "most"),
    [
        (CALIFORNIA, "USD", "200.00", "200.00"),
        (FLORIDA, "USD", "60.00", "70.00"),
        (FLORIDA, "USD", "200.00", "220.00"),
        (FLORIDA, "USD", "600.00", "650.00"),
        (WASHINGTON, "USD", "200.00", "220.00"),
        (ONTARIO, "CAD", "200.00", "220.00"),
    ],
)
def test_each_statute_gives_its_limit_and_a_cent_above_it_stops(rule, currency, agreed, most):
    assert limit(D(agreed), rule, currency).most == D(most)
    assert compare(D(most) - D("0.01"), D(agreed), rule, currency).within
    assert compare(D(most), D(agreed), rule, currency).within
    above = compare(D(most) + D("0.01"), D(agreed), rule, currency)
    assert (above.within, above.over) == (False, D("0.01"))


@pytest.mark.parametrize(
    ("agreed", "most"), [("99.99", "109.99"), ("100.00", "110.00"), ("100.10", "110.11")]
)
def test_the_higher_of_two_changes_over_where_they_meet(agreed, most):
    assert limit(D(agreed), FLORIDA, "USD").most == D(most)


@pytest.mark.parametrize(
    ("agreed", "most"), [("99.90", "109.89"), ("100.00", "110.00"), ("100.10", "110.10")]
)
def test_the_lower_of_two_changes_over_where_they_meet(agreed, most):
    assert limit(D(agreed), Allowance("lower", D(10), D(10)), "USD").most == D(most)


@pytest.mark.parametrize(
    ("agreed", "tolerance"), [("499.90", "49.99"), ("500.00", "50.00"), ("500.10", "50.00")]
)
def test_a_cap_holds_from_where_it_is_reached(agreed, tolerance):
    assert limit(D(agreed), FLORIDA, "USD").tolerance == D(tolerance)


@pytest.mark.parametrize(
    ("currency", "agreed", "tolerance"), [("JPY", "1005", "101"), ("KWD", "1.005", "0.101")]
)
def test_a_percentage_is_rounded_half_up_to_the_currencys_smallest_unit(currency, agreed, tolerance):
    assert limit(D(agreed), Allowance("percent", percent=D(10)), currency).tolerance == D(tolerance)


def test_where_nothing_was_agreed_to_nothing_is_tolerated():
    assert limit(D("0.00"), FLORIDA, "USD").most == 0


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "amount"}, {"kind": "percent"}, {"kind": "lower", "amount": D(1)}, {"kind": "tenth"},
        {"kind": "higher", "percent": D(1)}, {"kind": "none", "cap": D(-1)},
        {"kind": "amount", "amount": D("-0.01")},
    ],
)  # fmt: skip
def test_a_rule_that_is_incomplete_or_negative_is_refused(wrong):
    with pytest.raises(Refused):
        Allowance(**wrong)


money = st.integers(0, 10**9).map(lambda cents: D(cents).scaleb(-2))
figures = st.decimals("0", "200", places=2)


@settings(max_examples=profiles.PROVEN)
@given(money, money, figures, money)
def test_the_four_rules_stand_in_order_and_a_cap_only_lowers(agreed, amount, percent, cap):
    rules = {
        kind: Allowance(kind, amount, percent) for kind in ("none", "amount", "percent", "lower", "higher")
    }
    most = {kind: limit(agreed, rule, "EUR").most for kind, rule in rules.items()}
    assert most["none"] == agreed <= most["lower"] <= most["higher"]
    assert {most["lower"], most["higher"]} == {most["amount"], most["percent"]}
    capped = limit(agreed, Allowance("higher", amount, percent, cap), "EUR")
    assert agreed <= capped.most == min(most["higher"], agreed + (cap if agreed else 0))
