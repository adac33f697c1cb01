"""Prices as suppliers type them.

The SI Brochure (BIPM, 9th edition, 5.4.4; from memory) leaves the decimal marker to choice, point or comma,
and groups digits in threes by a thin space; commas, points and apostrophes between thousands are common
practice, no source. The figures themselves are checked against what Python's own formatting wrote.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.pricetext import amount
from shop.rules.errors import Refused

prices = st.decimals("0", "9999999999", places=2).map(abs)


@given(prices)
def test_a_price_grouped_by_commas_is_read_as_it_was_written(price):
    assert Decimal(amount(f"{price:,.2f}")[0]) == price


@given(prices, st.sampled_from([".", " ", "\u00a0", "\u202f", "'", "\u2019"]))
def test_a_price_with_a_decimal_comma_is_read_as_it_was_written(price, between):
    text = f"{price:,.2f}".replace(",", "_").replace(".", ",").replace("_", between)
    assert amount(text) == (f"{price:f}", "comma")


@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(".,"))
def test_a_price_that_could_be_two_is_refused_until_somebody_says_the_sign(whole, rest, sign):
    text = f"{whole}{sign}{rest:03d}"
    with pytest.raises(Refused, match="can mean"):
        amount(text)
    said, other = ("point", "comma") if sign == "." else ("comma", "point")
    assert amount(text, said) == (f"{whole}.{rest:03d}", said)
    assert amount(text, other) == (f"{whole}{rest:03d}", other)


@pytest.mark.parametrize(
    ("text", "plain"),
    [("12", "12"), ("0,123", "0.123"), ("1.2345", "1.2345"), ("1234,567", "1234.567"), ("-3.50", "-3.50")],
)
def test_what_can_mean_one_thing_only_is_taken(text, plain):
    assert amount(text)[0] == plain


@pytest.mark.parametrize("text", ["12,50", "1.234,50", "1.234.567"])
def test_a_decimal_comma_contradicts_a_file_with_points(text):
    with pytest.raises(Refused, match="has a decimal comma, the rest of this file a point"):
        amount(text, "point")


@pytest.mark.parametrize(
    "text",
    [
        "1,23,456.00",
        "1.234,567.00",
        "1 23",
        "12.",
        ".5",
        "1e5",
        "nan",
        "+5",
        "--5",
        "1,,5",
        "9" * 41,
        "\u0661\u0662",
    ],
)
def test_what_is_no_number_is_refused(text):
    with pytest.raises(Refused):
        amount(text)


@pytest.mark.parametrize("text", ["12.50 EUR", "EUR 12.50", "$12.50"])
def test_a_currency_beside_the_number_is_named(text):
    with pytest.raises(Refused, match=r"write 12\.50: the currency"):
        amount(text)
