"""Document totals against the official examples of EN 16931, and the rules BR-CO-10 to BR-CO-17 at random.

https://github.com/ConnectingEurope/eInvoicing-EN16931/tree/master/ubl/examples
The totals are asserted from the line amounts as stated there: not every example's line is its quantity
times its price.
"""

from dataclasses import fields, replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.currency import minor_units
from shop.rules.errors import Refused
from shop.rules.tax import TaxRate
from shop.rules.totals import Adjustment, NetLine, Totals, document_totals

RATES = {
    rate.key: rate
    for rate in (
        TaxRate("s25", "VAT 25 %", Decimal(25), "S"),
        TaxRate("s21", "VAT 21 %", Decimal(21), "S"),
        TaxRate("s15", "VAT 15 %", Decimal(15), "S"),
        TaxRate("s12", "VAT 12 %", Decimal(12), "S"),
        TaxRate("s6", "VAT 6 %", Decimal(6), "S"),
        TaxRate("e", "Exempt", Decimal(0), "E"),
        TaxRate("city", "City tax", Decimal("2.375"), "S"),
    )
}


def lines(*amounts):
    return [
        NetLine(str(place), Decimal(net), tuple(keys.split())) for place, (net, keys) in enumerate(amounts)
    ]


def adjustment(amount, keys="s25", reason="Loyal customer"):
    return Adjustment("a", reason, Decimal(amount), tuple(keys.split()))


def figures(totals):
    return {
        "line_sum": str(totals.line_sum),
        "without_tax": str(totals.without_tax),
        "tax": [(str(part.taxable), str(part.amount)) for part in totals.tax],
        "tax_sum": str(totals.tax_sum),
        "with_tax": str(totals.with_tax),
        "due": str(totals.due),
    }


def test_official_example_5_two_rates_an_allowance_a_charge_and_a_prepayment():
    totals = document_totals(
        lines(("1000.00", "s25"), ("500.00", "s25"), ("2500.00", "s12")),
        allowances=[adjustment("150.00")],
        charges=[adjustment("150.00", reason="Packaging")],
        rates=RATES,
        prepaid=Decimal("2337.50"),
        currency="DKK",
    )
    assert (totals.allowance_sum, totals.charge_sum) == (150, 150)
    assert figures(totals) == {
        "line_sum": "4000.00",
        "without_tax": "4000.00",
        "tax": [("1500.00", "375.00"), ("2500.00", "300.00")],
        "tax_sum": "675.00",
        "with_tax": "4675.00",
        "due": "2337.50",
    }


def test_official_example_2_three_rates_with_returns_and_a_negative_category():
    totals = document_totals(
        lines(("1273.00", "s25"), ("-3.96", "s15"), ("4.96", "s15"), ("-25.00", "e"), ("187.50", "s25")),
        allowances=[adjustment("100.00", reason="Promotion discount")],
        charges=[adjustment("100.00", reason="Freight")],
        rates=RATES,
        prepaid=Decimal("1000.00"),
        currency="NOK",
    )
    assert figures(totals) == {
        "line_sum": "1436.50",
        "without_tax": "1436.50",
        "tax": [("1460.50", "365.13"), ("1.00", "0.15"), ("-25.00", "0.00")],
        "tax_sum": "365.28",
        "with_tax": "1801.78",
        "due": "801.78",
    }


def test_official_example_1_twenty_lines_one_of_them_returned():
    at_six = [
        *("19.90", "9.85", "8.29", "14.46", "35.00", "35.00", "10.65", "1.55", "14.37", "8.29"),
        *("16.58", "9.95", "3.30", "3.90", "102.12", "-109.98"),
    ]
    at_twenty_one = ["10.80", "7.60", "9.34", "18.63"]
    totals = document_totals(
        lines(*((net, "s6") for net in at_six), *((net, "s21") for net in at_twenty_one)),
        rates=RATES,
        currency="EUR",
    )
    assert totals.without_tax == Decimal("229.60")
    assert {part.rate.key: (part.taxable, part.amount) for part in totals.tax} == {
        "s6": (Decimal("183.23"), Decimal("10.99")),
        "s21": (Decimal("46.37"), Decimal("9.74")),
    }
    assert (totals.tax_sum, totals.due) == (Decimal("20.73"), Decimal("250.33"))


def test_official_example_8_ten_lines_at_one_rate():
    nets = ["140.80", "16.16", "167.64", "88.74", "36.75", "56.50", "83.34", "190.31", "64.21", "64.46"]
    totals = document_totals(lines(*((net, "s21") for net in nets)), rates=RATES, currency="EUR")
    assert figures(totals) == {
        "line_sum": "908.91",
        "without_tax": "908.91",
        "tax": [("908.91", "190.87")],
        "tax_sum": "190.87",
        "with_tax": "1099.78",
        "due": "1099.78",
    }


def test_official_guide_example_3_a_freight_charge():
    totals = document_totals(
        lines(("400.00", "s25"), ("400.00", "s25")),
        charges=[adjustment("100.00", reason="Freight charge")],
        rates=RATES,
        currency="DKK",
    )
    assert figures(totals) == {
        "line_sum": "800.00",
        "without_tax": "900.00",
        "tax": [("900.00", "225.00")],
        "tax_sum": "225.00",
        "with_tax": "1125.00",
        "due": "1125.00",
    }


def test_official_negative_invoice_rounds_away_from_zero():
    # BIS3_Invoice_negativ.XML.
    totals = document_totals(lines(("-625743.54", "s25")), rates=RATES, currency="DKK")
    assert (str(totals.tax_sum), str(totals.due)) == ("-156435.89", "-782179.43")


def test_two_taxes_on_one_line_are_each_taken_on_the_whole_line():
    # By hand: 200.00 at 6 % is 12.00; 200.00 + 99.99 at 2.375 % is 7.1247..., so 7.12.
    totals = document_totals(lines(("200.00", "s6 city"), ("99.99", "city")), rates=RATES, currency="USD")
    assert [(part.taxable, part.amount) for part in totals.tax] == [
        (Decimal("200.00"), Decimal("12.00")),
        (Decimal("299.99"), Decimal("7.12")),
    ]
    assert totals.with_tax == Decimal("299.99") + Decimal("19.12")


def test_the_tax_is_taken_on_the_sum_and_not_line_by_line():
    # By hand: three times 0.10 at 25 % is 0.075, so 0.08; line by line it would be 3 x 0.03 = 0.09.
    totals = document_totals(lines(*[("0.10", "s25")] * 3), rates=RATES, currency="EUR")
    assert totals.tax_sum == Decimal("0.08")


def test_a_line_without_tax_keys_is_not_taxed():
    totals = document_totals(lines(("10.00", ""), ("20.00", "s25")), rates=RATES, currency="EUR")
    assert (totals.without_tax, totals.tax_sum) == (30, 5)


def test_an_empty_document_comes_to_nothing():
    totals = document_totals([], rates=RATES, currency="EUR")
    assert (str(totals.due), totals.tax) == ("0.00", ())


def test_too_much_paid_is_due_back():
    totals = document_totals(lines(("10.00", "")), rates=RATES, prepaid=Decimal("12.00"), currency="EUR")
    assert totals.due == Decimal("-2.00")


def test_taxes_come_in_the_order_of_the_shop_and_the_unused_are_left_out():
    totals = document_totals(lines(("1.00", "s12"), ("1.00", "s25")), rates=RATES, currency="EUR")
    assert [part.rate.key for part in totals.tax] == ["s25", "s12"]


CURRENCIES = st.sampled_from([("JPY", 0), ("EUR", 2), ("KWD", 3)])
KEYS = st.lists(st.sampled_from(sorted(RATES)), unique=True, max_size=3).map(tuple)


@st.composite
def documents(draw):
    currency, places = draw(CURRENCIES)
    money = st.integers(-(10**8), 10**8).map(lambda units: Decimal(units).scaleb(-places))
    positive = st.integers(0, 10**6).map(lambda units: Decimal(units).scaleb(-places))
    adjustments = st.lists(st.builds(Adjustment, st.just("a"), st.just("Reason"), positive, KEYS), max_size=3)
    return {
        "lines": draw(st.lists(st.builds(NetLine, st.just("l"), money, KEYS), max_size=12)),
        "allowances": draw(adjustments),
        "charges": draw(adjustments),
        "prepaid": draw(positive),
        "rates": RATES,
        "currency": currency,
    }


@given(documents())
def test_the_parts_equal_the_whole_to_the_minor_unit(document):
    """BR-CO-10 to BR-CO-16, reckoned here in fractions."""
    totals = document_totals(**document)
    line_sum = sum(Fraction(line.net) for line in document["lines"])
    allowances = sum(Fraction(item.amount) for item in document["allowances"])
    charges = sum(Fraction(item.amount) for item in document["charges"])
    taxes = sum(Fraction(part.amount) for part in totals.tax)
    assert totals.line_sum == line_sum  # BR-CO-10
    assert totals.allowance_sum == allowances  # BR-CO-11
    assert totals.charge_sum == charges  # BR-CO-12
    assert totals.without_tax == line_sum - allowances + charges  # BR-CO-13
    assert totals.tax_sum == taxes  # BR-CO-14
    assert totals.with_tax == line_sum - allowances + charges + taxes  # BR-CO-15
    assert totals.due == totals.with_tax - document["prepaid"]  # BR-CO-16


@given(documents())
def test_every_tax_is_taken_on_its_own_sum(document):
    """BR-CO-17 within half a minor unit, and BR-S-08: the sum of what carries the tax."""
    totals = document_totals(**document)
    smallest = Fraction(1, 10 ** minor_units(document["currency"]))
    for part in totals.tax:
        carried = sum(
            (Fraction(line.net) for line in document["lines"] if part.rate.key in line.tax_keys), Fraction(0)
        )
        carried -= sum(Fraction(a.amount) for a in document["allowances"] if part.rate.key in a.tax_keys)
        carried += sum(Fraction(c.amount) for c in document["charges"] if part.rate.key in c.tax_keys)
        assert part.taxable == carried
        assert abs(Fraction(part.amount) - carried * Fraction(part.rate.percent) / 100) <= smallest / 2


@given(documents(), st.randoms())
def test_the_order_of_the_lines_changes_nothing(document, random):
    shuffled = list(document["lines"])
    random.shuffle(shuffled)
    assert document_totals(**(document | {"lines": shuffled})) == document_totals(**document)


AMOUNTS = [field.name for field in fields(Totals) if field.name not in {"tax", "currency"}]


@given(document=documents(), name=st.sampled_from(AMOUNTS), sign=st.sampled_from([1, -1]))
def test_totals_with_any_one_figure_off_by_the_smallest_unit_cannot_exist(document, name, sign):
    totals = document_totals(**document)
    figure = getattr(totals, name)
    off = figure + sign * Decimal(1).scaleb(figure.as_tuple().exponent)
    with pytest.raises(Refused, match="its parts make"):
        replace(totals, **{name: off})


@pytest.mark.parametrize(
    ("wrong", "carried_on"),
    # Each figure wrong by itself, everything after it reckoned from the wrong one.
    [
        ("without_tax", ["with_tax", "due"]),
        ("tax_sum", ["with_tax", "due"]),
        ("with_tax", ["due"]),
        ("due", []),
    ],
)
def test_a_wrong_figure_is_named_though_all_after_it_agree_with_it(wrong, carried_on):
    totals = document_totals(lines(("10.00", "s25")), rates=RATES, currency="EUR")
    off = {name: getattr(totals, name) + Decimal("0.01") for name in (wrong, *carried_on)}
    with pytest.raises(Refused) as refusal:
        replace(totals, **off)
    assert [fault.where for fault in refusal.value.faults] == [wrong]


def test_totals_with_a_tax_that_is_not_its_percentage_cannot_exist():
    totals = document_totals(lines(("10.00", "s25")), rates=RATES, currency="EUR")
    wrong = replace(totals.tax[0], amount=Decimal("2.51"))
    with pytest.raises(Refused, match=r"tax s25: is 2\.51 EUR but its parts make 2\.50 EUR"):
        replace(
            totals, tax=(wrong,), tax_sum=Decimal("2.51"), with_tax=Decimal("12.51"), due=Decimal("12.51")
        )


def test_totals_finer_than_the_minor_unit_cannot_exist():
    totals = document_totals(lines(("10.00", "")), rates=RATES, currency="EUR")
    with pytest.raises(Refused, match=r"line_sum: 10\.001 EUR is finer"):
        replace(totals, line_sum=Decimal("10.001"))


def test_every_fault_of_a_document_is_told_at_once():
    with pytest.raises(Refused) as refusal:
        document_totals(
            [NetLine("1", Decimal("1.001"), ("s25",)), NetLine("2", Decimal("NaN"), ("nope", "s6", "s6"))],
            allowances=[adjustment("-1.00", reason=" ")],
            rates=RATES,
            prepaid=Decimal("-5.00"),
            currency="EUR",
        )
    told = [(fault.where, fault.what) for fault in refusal.value.faults]
    assert told == [
        ("line 1", "1.001 EUR is finer than the currency's smallest unit"),
        ("line 2", "NaN is not a number"),
        ("line 2", "no tax rate 'nope'"),
        ("line 2", "tax 's6' is named twice"),
        ("allowance a", "-1.00 is negative"),
        ("allowance a", "has no reason"),
        ("prepaid", "-5.00 is negative"),
    ]


def test_a_negative_charge_is_refused_and_an_allowance_suggested():
    with pytest.raises(Refused, match="make it an allowance"):
        document_totals([], charges=[adjustment("-1.00")], rates=RATES, currency="EUR")


def test_a_float_is_a_programming_mistake():
    with pytest.raises(TypeError, match="float"):
        document_totals([NetLine("1", 1.5, ())], rates=RATES, currency="EUR")  # type: ignore[arg-type]
