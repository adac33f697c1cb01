"""Rounding half up, checked against the decimal module of the Python standard library.

https://docs.python.org/3/library/decimal.html#rounding-modes defines ROUND_HALF_UP as rounding to
nearest with ties going away from zero.
"""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

WIDE = Context(prec=200)


@pytest.mark.parametrize(
    ("written", "half_up", "half_even"),
    [("2.675", "2.68", "2.68"), ("2.665", "2.67", "2.66")],
)
def test_an_exact_half_goes_up_where_bankers_rounding_might_not(written, half_up, half_even):
    # Both columns follow from the definitions in Python's decimal module, which is asked here too.
    value = Decimal(written)
    assert round_half_up(value, 2) == Decimal(half_up)
    assert value.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(half_up)
    assert value.quantize(Decimal("0.01"), ROUND_HALF_EVEN) == Decimal(half_even)


def test_a_binary_float_would_have_lost_the_half():
    # The trap named in the documentation of Python's round(): 2.675 is stored as 2.67499999...
    assert round(2.675, 2) == 2.67
    assert round_half_up(Decimal("2.675"), 2) == Decimal("2.68")


@pytest.mark.parametrize(
    ("written", "expected"),
    [("0.0049", "0.00"), ("0.005", "0.01"), ("0.0051", "0.01")],
)
def test_just_below_at_and_just_above_the_half(written, expected):
    assert str(round_half_up(Decimal(written), 2)) == expected


@pytest.mark.parametrize(
    ("written", "expected"),
    [("-0.0049", "0.00"), ("-0.005", "-0.01"), ("-0.0051", "-0.01")],
)
def test_a_credit_mirrors_the_sale_and_there_is_no_minus_zero(written, expected):
    assert str(round_half_up(Decimal(written), 2)) == expected


@pytest.mark.parametrize(("places", "expected"), [(0, "1235"), (2, "1234.57"), (3, "1234.567")])
def test_the_answer_carries_exactly_the_places_asked_for(places, expected):
    assert str(round_half_up(Decimal("1234.5670"), places)) == expected


@given(
    value=st.decimals(min_value=-(10**12), max_value=10**12, allow_nan=False),
    places=st.integers(0, 6),
)
def test_it_agrees_with_the_standard_library_everywhere(value, places):
    expected = value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, WIDE)
    assert round_half_up(value, places) == expected


@given(numerator=st.integers(-(10**9), 10**9), denominator=st.integers(1, 10**6), places=st.integers(0, 4))
def test_a_fraction_lands_within_half_a_unit(numerator, denominator, places):
    exact = Fraction(numerator, denominator)
    assert abs(Fraction(round_half_up(exact, places)) - exact) <= Fraction(1, 2 * 10**places)


def test_half_a_unit_as_a_fraction_goes_away_from_zero():
    assert round_half_up(Fraction(1, 2), 0) == 1
    assert round_half_up(Fraction(-1, 2), 0) == -1


def test_the_precision_of_the_current_context_does_not_matter():
    with localcontext() as context:
        context.prec = 3
        assert str(round_half_up(Decimal("123456.785"), 2)) == "123456.79"


def test_a_float_is_a_programming_mistake():
    with pytest.raises(TypeError, match="float"):
        round_half_up(1.5, 0)  # type: ignore[arg-type]


def test_negative_places_are_a_programming_mistake():
    with pytest.raises(TypeError, match="zero or more"):
        round_half_up(Decimal(15), -1)


@pytest.mark.parametrize("written", ["NaN", "Infinity", "-Infinity"])
def test_what_is_not_a_number_is_refused(written):
    with pytest.raises(Refused, match="is not a number"):
        round_half_up(Decimal(written), 2)


def test_an_absurdly_large_number_is_refused_without_being_expanded():
    with pytest.raises(Refused, match="larger than any amount"):
        round_half_up(Decimal("1E+999999"), 2)


def test_eighteen_digits_before_the_point_pass_and_nineteen_do_not():
    assert round_half_up(Decimal("999999999999999999"), 2) == Decimal("999999999999999999")
    with pytest.raises(Refused, match="at most 18 digits"):
        round_half_up(Decimal("1000000000000000000"), 2)


def test_a_vanishingly_small_number_rounds_to_zero_without_being_expanded():
    assert str(round_half_up(Decimal("1E-999999"), 2)) == "0.00"
