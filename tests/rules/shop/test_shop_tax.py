"""Tax rates and the tax on a sum, after EN 16931-1:2017 (rules BR-S-05 to BR-O-05, BR-CO-17).

The text of the rules and the examples: https://github.com/ConnectingEurope/eInvoicing-EN16931
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.errors import Refused
from shop.rules.tax import CATEGORIES, TaxRate, tax_on


def rate(percent, category="S"):
    return TaxRate("t", "Tax", Decimal(percent), category)


@pytest.mark.parametrize(
    ("taxable", "percent", "currency", "amount"),
    [
        ("1460.50", "25", "NOK", "365.13"),  # ubl-tc434-example2.xml; exactly 365.125, a half
        ("1.00", "15", "NOK", "0.15"),  # the same
        ("183.23", "6", "EUR", "10.99"),  # ubl-tc434-example1.xml; exactly 10.9938
        ("46.37", "21", "EUR", "9.74"),  # the same; exactly 9.7377
        ("908.91", "21", "EUR", "190.87"),  # ubl-tc434-example8.xml; exactly 190.8711
    ],
)
def test_the_tax_on_a_sum_is_that_of_the_official_examples(taxable, percent, currency, amount):
    assert str(tax_on(Decimal(taxable), rate(percent), currency).amount) == amount


def test_a_half_on_a_credit_goes_away_from_zero():
    # BIS3_Invoice_negativ.XML: exactly -156435.885, stated as -156435.89. A rounding towards plus infinity
    # would have given -156435.88.
    assert str(tax_on(Decimal("-625743.54"), rate("25"), "DKK").amount) == "-156435.89"


@given(units=st.integers(-(10**9), 10**9), thousandths=st.integers(1, 100_000))
def test_a_refund_gives_back_what_the_sale_took(units, thousandths):
    taxable, tax = Decimal(units).scaleb(-2), rate(Decimal(thousandths).scaleb(-3))
    assert tax_on(-taxable, tax, "EUR").amount == -tax_on(taxable, tax, "EUR").amount


@given(
    units=st.integers(-(10**9), 10**9),
    thousandths=st.integers(1, 100_000),
    code=st.sampled_from([("JPY", 0), ("EUR", 2), ("KWD", 3)]),
)
def test_the_tax_is_within_half_a_minor_unit_of_the_exact_one(units, thousandths, code):
    currency, places = code
    taxable, percent = Decimal(units).scaleb(-places), Decimal(thousandths).scaleb(-3)
    exact = Fraction(taxable) * Fraction(percent) / 100
    got = tax_on(taxable, rate(percent), currency).amount
    assert abs(Fraction(got) - exact) <= Fraction(1, 2 * 10**places)
    assert got.as_tuple().exponent == -places


@pytest.mark.parametrize("percent", ["0.001", "8.25", "100"])
def test_a_standard_rate_may_be_anything_above_nothing_up_to_the_whole(percent):
    assert rate(percent).percent == Decimal(percent)


@pytest.mark.parametrize("percent", ["-0.001", "100.001", "NaN", "Infinity"])
def test_a_percentage_outside_nothing_to_the_whole_is_refused(percent):
    with pytest.raises(Refused, match="from 0 to 100"):
        rate(percent)


def test_a_standard_rate_of_nothing_is_refused():
    with pytest.raises(Refused, match="above 0, or category Z, E or O"):  # BR-S-05
        rate("0")


@pytest.mark.parametrize("category", ["Z", "E", "AE", "K", "G", "O"])
def test_a_category_without_tax_takes_no_percentage(category):
    # BR-Z-05, BR-E-05, BR-AE-05, BR-IC-05, BR-G-05, BR-O-05.
    assert tax_on(Decimal("10.00"), rate("0", category), "EUR").amount == 0
    with pytest.raises(Refused, match="give 0 %"):
        rate("0.01", category)


@pytest.mark.parametrize("category", ["L", "M"])
def test_the_island_taxes_may_be_nothing_or_more(category):
    # BR-IG-05, BR-IP-05: zero or greater.
    assert rate("0", category).percent == 0
    assert rate("7", category).percent == 7


def test_an_unknown_category_is_refused_with_the_list():
    with pytest.raises(Refused) as refusal:
        rate("20", "X")
    assert all(code in refusal.value.faults[0].right for code in CATEGORIES)


def test_a_float_is_a_programming_mistake():
    with pytest.raises(TypeError, match="float"):
        TaxRate("t", "Tax", 7.5, "S")  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="float"):
        tax_on(7.5, rate("20"), "EUR")  # type: ignore[arg-type]
