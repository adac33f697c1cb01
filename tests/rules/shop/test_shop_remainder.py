"""Sharing out, checked against the published example of the largest remainder (Hamilton) method.

The quota properties are those of M. L. Balinski and H. P. Young, Fair Representation (1982): the method
sums exactly and "stays within the quota", every share being the exact one rounded down or up.
"""

from decimal import Decimal
from fractions import Fraction
from itertools import product
from math import ceil, floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.currency import minor_units
from shop.rules.errors import Refused
from shop.rules.remainder import largest_remainder, split_money

WEIGHTS = st.lists(
    st.integers(0, 10_000) | st.fractions(min_value=0, max_value=1000, max_denominator=60), min_size=1
).filter(any)


def test_the_published_example_of_the_largest_remainder_method():
    # https://en.wikipedia.org/wiki/Largest_remainder_method (Hare quota): 100,000 votes, 10 seats.
    votes = [47_000, 16_000, 15_800, 12_000, 6_100, 3_100]
    assert largest_remainder(10, votes) == (5, 2, 1, 1, 1, 0)


def test_the_published_alabama_paradox():
    # Same page, section on the paradox: with a 26th seat the parties D and E end up with fewer. Shares are
    # therefore worked out from the whole each time, never added on to shares already given.
    votes = [1500, 1500, 900, 500, 500, 200]
    assert largest_remainder(25, votes) == (7, 7, 4, 3, 3, 1)
    assert largest_remainder(26, votes) == (8, 8, 5, 2, 2, 1)


def test_ties_go_to_the_earlier():
    assert largest_remainder(2, [1, 1, 1, 1]) == (1, 1, 0, 0)


def test_a_weight_of_zero_gets_nothing():
    assert largest_remainder(7, [0, 3, 0]) == (0, 7, 0)


def test_a_credit_is_shared_as_the_charge_was():
    assert largest_remainder(-10, [1, 1, 1]) == (-4, -3, -3)


def test_nothing_is_shared_as_nothing():
    assert largest_remainder(0, [0, 0]) == (0, 0)
    assert largest_remainder(0, []) == ()


@given(total=st.integers(-(10**9), 10**9), weights=WEIGHTS)
def test_the_shares_sum_exactly_to_the_total(total, weights):
    assert sum(largest_remainder(total, weights)) == total


@given(total=st.integers(-(10**9), 10**9), weights=WEIGHTS)
def test_every_share_is_the_exact_one_rounded_down_or_up(total, weights):
    whole = sum(weights, Fraction(0))
    for share, weight in zip(largest_remainder(total, weights), weights, strict=True):
        exact = Fraction(total) * Fraction(weight) / whole
        assert floor(exact) <= share <= ceil(exact)


@given(total=st.integers(0, 10**6), weights=WEIGHTS, factor=st.fractions(Fraction(1, 50), 50))
def test_only_the_proportion_of_the_weights_matters(total, weights, factor):
    scaled = [weight * factor for weight in weights]
    assert largest_remainder(total, scaled) == largest_remainder(total, weights)


@pytest.mark.parametrize("weights", [weights for weights in product(range(4), repeat=3) if any(weights)])
def test_no_other_whole_shares_lie_closer_to_the_exact_ones(weights):
    # Hamilton's shares minimise the sum of squared deviations (Balinski and Young 1982); every
    # alternative is enumerated here.
    for total in range(8):
        exact = [Fraction(total * weight, sum(weights)) for weight in weights]

        def off(shares, exact=exact):
            return sum((share - right) ** 2 for share, right in zip(shares, exact, strict=True))

        every = (shares for shares in product(range(total + 1), repeat=3) if sum(shares) == total)
        assert off(largest_remainder(total, weights)) == min(map(off, every))


def test_a_negative_weight_is_refused_by_its_place():
    with pytest.raises(Refused, match="weight 2: -1 is negative"):
        largest_remainder(10, [1, -1])


@pytest.mark.parametrize("weights", [[], [0, 0]])
def test_something_cannot_be_shared_among_nobody(weights):
    with pytest.raises(Refused, match="nothing to share 5 among"):
        largest_remainder(5, weights)


def test_floats_are_a_programming_mistake():
    with pytest.raises(TypeError, match="weight 1"):
        largest_remainder(5, [0.5])  # type: ignore[list-item]
    with pytest.raises(TypeError, match="whole units"):
        largest_remainder(5.0, [1])  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("amount", "code", "expected"),
    # By hand: a third each, the odd unit to the first.
    [
        ("100", "JPY", ["34", "33", "33"]),
        ("100.00", "EUR", ["33.34", "33.33", "33.33"]),
        ("100.000", "KWD", ["33.334", "33.333", "33.333"]),
        ("-0.02", "EUR", ["-0.01", "-0.01", "0.00"]),
    ],
)
def test_money_is_shared_in_whole_minor_units(amount, code, expected):
    assert [str(part) for part in split_money(Decimal(amount), [1, 1, 1], code)] == expected


@given(
    units=st.integers(-(10**12), 10**12), code=st.sampled_from(["JPY", "EUR", "KWD", "CLF"]), weights=WEIGHTS
)
def test_the_parts_of_an_amount_add_up_to_it_in_every_currency(units, code, weights):
    amount = Decimal(units).scaleb(-minor_units(code))
    parts = split_money(amount, weights, code)
    assert sum(parts) == amount
    assert all(part.as_tuple().exponent == -minor_units(code) for part in parts)


def test_an_amount_finer_than_the_minor_unit_is_refused():
    with pytest.raises(Refused, match="amount to share"):
        split_money(Decimal("0.005"), [1, 1], "EUR")
