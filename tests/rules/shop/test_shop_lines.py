"""Line amounts against the official examples of EN 16931.

https://github.com/ConnectingEurope/eInvoicing-EN16931/tree/master/ubl/examples
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.errors import Refused
from shop.rules.lines import line_net


@pytest.mark.parametrize(
    ("quantity", "price", "base", "net"),
    [
        # ubl-tc434-example8.xml, lines 1 to 6.
        ("16000", "0.00880", 1, "140.80"),
        ("16000", "0.00101", 1, "16.16"),
        ("132", "15.24", 12, "167.64"),
        ("58", "1.53", 1, "88.74"),
        ("1", "441.00", 12, "36.75"),
        ("1", "678.00", 12, "56.50"),
        # ubl-tc434-example9.xml and sample-discount-price.xml.
        ("3", "49.00", 1, "147.00"),
        ("100.000", "0.1212", 1, "12.12"),
        # ubl-tc434-example2.xml, lines 2, 4 and 5: two returns and a length of cable.
        ("-1", "3.96", 1, "-3.96"),
        ("-1", "25.00", 1, "-25.00"),
        ("250", "0.75", 1, "187.50"),
    ],
)
def test_a_line_comes_to_what_the_official_example_states(quantity, price, base, net):
    got = line_net(Decimal(quantity), Decimal(price), base_quantity=Decimal(base), currency="EUR")
    assert str(got) == net


def test_what_is_allowed_and_charged_on_the_line_is_taken_off_and_added():
    # ubl-tc434-example5.xml, line 1: 1000 at 1.00, allowance 100.00, charge 100.00.
    net = line_net(
        1000, Decimal("1.00"), allowance=Decimal("100.00"), charge=Decimal("100.00"), currency="DKK"
    )
    assert str(net) == "1000.00"


def test_the_line_is_rounded_once_after_dividing_by_the_base_quantity():
    # By hand: 7 of something at 10.00 for 3 is 23.333..., not 7 x 3.33 = 23.31.
    assert str(line_net(7, Decimal("10.00"), base_quantity=3, currency="EUR")) == "23.33"


@pytest.mark.parametrize(("quantity", "net"), [("0.499", "0.00"), ("0.5", "0.01"), ("-0.5", "-0.01")])
def test_half_a_minor_unit_goes_away_from_zero(quantity, net):
    assert str(line_net(Decimal(quantity), Decimal("0.01"), currency="EUR")) == net


@pytest.mark.parametrize(("currency", "net"), [("JPY", "4"), ("EUR", "3.70"), ("KWD", "3.704")])
def test_the_currency_decides_the_decimals(currency, net):
    assert str(line_net(3, Decimal("1.2345"), currency=currency)) == net


@given(
    quantity=st.decimals(-10_000, 10_000, places=3),
    price=st.decimals(0, 10_000, places=4),
    base=st.integers(1, 1000),
)
def test_a_return_gives_back_what_the_sale_took(quantity, price, base):
    sale = line_net(quantity, price, base_quantity=base, currency="EUR")
    assert line_net(-quantity, price, base_quantity=base, currency="EUR") == -sale
    assert abs(Fraction(sale) - Fraction(quantity) * Fraction(price) / base) <= Fraction(1, 200)


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        ({"price": Decimal("-0.01")}, "price: -0.01 is negative"),  # BR-27
        ({"base_quantity": 0}, "base quantity: 0 is not above zero"),
        ({"base_quantity": Decimal("-1")}, "base quantity: -1 is not above zero"),
        ({"allowance": Decimal("-0.01")}, "line allowance: -0.01 is negative"),
        ({"charge": Decimal("-0.01")}, "line charge: -0.01 is negative"),
        ({"charge": Decimal("0.001")}, "line charge: 0.001 EUR is finer"),
        ({"quantity": Decimal("NaN")}, "quantity: NaN is not a number"),
        ({"price": Decimal("Infinity")}, "price: Infinity is not a number"),
        ({"currency": "XAU"}, "currency: XAU has no minor unit"),
    ],
)
def test_what_cannot_be_priced_is_refused_by_name(arguments, fault):
    sound = {"quantity": 1, "price": Decimal("1.00"), "currency": "EUR"}
    with pytest.raises(Refused, match=fault):
        line_net(**(sound | arguments))


def test_several_faults_are_told_at_once():
    with pytest.raises(Refused) as refusal:
        line_net(1, Decimal(-1), base_quantity=0, currency="EUR")
    assert [fault.where for fault in refusal.value.faults] == ["price", "base quantity"]


@pytest.mark.parametrize("name", ["quantity", "price", "base_quantity", "allowance", "charge"])
def test_a_float_is_a_programming_mistake(name):
    sound = {"quantity": 1, "price": Decimal("1.00"), "currency": "EUR"}
    with pytest.raises(TypeError, match="float"):
        line_net(**(sound | {name: 1.0}))
