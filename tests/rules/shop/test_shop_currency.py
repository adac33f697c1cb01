"""Minor units against ISO 4217 list one (SIX, published 2026-01-01): its column "Minor unit".

https://www.six-group.com/en/products-services/financial-information/data-standards.html
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.currency import exact_money, format_money, minor_units, round_money
from shop.rules.errors import Refused

# ISO 4217 list one, column "Minor unit".
LIST_ONE = {
    **dict.fromkeys(["USD", "EUR", "HUF", "MGA", "MRU", "IRR", "LBP", "ALL"], 2),
    **dict.fromkeys(["JPY", "ISK"], 0),
    **dict.fromkeys(["KWD", "TND", "IQD"], 3),
    **dict.fromkeys(["CLF", "UYW"], 4),
}


@pytest.mark.parametrize(("code", "places"), LIST_ONE.items())
def test_minor_units_are_those_of_iso_4217(code, places):
    assert minor_units(code) == places


@pytest.mark.parametrize("code", ["XAU", "XXX", "XTS", "XDR"])
def test_what_has_no_minor_unit_in_list_one_cannot_price_anything(code):
    # ISO 4217 list one marks gold, "no currency", the testing code and drawing rights "N.A.".
    with pytest.raises(Refused, match="no minor unit"):
        minor_units(code)


@pytest.mark.parametrize("code", ["", "EU", "EURO", "ZZZ", "€"])
def test_an_unknown_code_is_refused_and_says_what_one_looks_like(code):
    with pytest.raises(Refused) as refusal:
        minor_units(code)
    (fault,) = refusal.value.faults
    assert fault.where == "currency"
    assert "three capital letters" in fault.right


def test_small_letters_are_refused_and_the_capitals_suggested():
    with pytest.raises(Refused, match="such as JPY"):
        minor_units("jpy")


@pytest.mark.parametrize(
    ("code", "expected"),
    # By hand: the same amount in currencies of 0, 2, 3 and 4 decimals, halves going up.
    [("JPY", "1235"), ("EUR", "1234.57"), ("KWD", "1234.565"), ("CLF", "1234.5650")],
)
def test_an_amount_is_rounded_to_the_minor_unit_of_its_currency(code, expected):
    assert str(round_money(Decimal("1234.565"), code)) == expected


@pytest.mark.parametrize(
    ("amount", "code", "expected"),
    [
        ("1234.5", "EUR", "1,234.50 EUR"),
        ("0", "EUR", "0.00 EUR"),
        ("999.995", "EUR", "1,000.00 EUR"),
        ("-1234567.89", "EUR", "-1,234,567.89 EUR"),
        ("-0.001", "EUR", "0.00 EUR"),
        ("1234567", "JPY", "1,234,567 JPY"),
        ("1E+3", "KWD", "1,000.000 KWD"),
    ],
)
def test_an_amount_is_printed_with_all_its_decimals_and_its_code(amount, code, expected):
    assert format_money(Decimal(amount), code) == expected


@pytest.mark.parametrize(("amount", "code"), [("10.01", "EUR"), ("10", "JPY"), ("10.001", "KWD")])
def test_a_payable_amount_passes_unchanged(amount, code):
    assert exact_money(Decimal(amount), code, "price") == Decimal(amount)


@pytest.mark.parametrize(
    ("amount", "code", "right"),
    [("10.001", "EUR", "at most 2 decimals"), ("10.5", "JPY", "a whole amount")],
)
def test_an_amount_finer_than_the_smallest_unit_is_refused_where_it_must_be_payable(amount, code, right):
    with pytest.raises(Refused, match=right) as refusal:
        exact_money(Decimal(amount), code, "prepaid")
    assert refusal.value.faults[0].where == "prepaid"


@given(
    amount=st.decimals(min_value=-(10**9), max_value=10**9, allow_nan=False),
    code=st.sampled_from(sorted(LIST_ONE)),
)
def test_rounding_twice_changes_nothing(amount, code):
    once = round_money(amount, code)
    assert round_money(once, code) == once
    assert exact_money(once, code, "amount") == once
