"""The markup ladder. Common practice, no source: the shapes of the ladder are the trade's, the figures ours,
worked by hand; the continuous reading is checked against a sum over every cent of the cost."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.errors import Refused
from shop.rules.markup import MarkupBand, ladder_faults, sell_price


def ladder(*bands):
    return [MarkupBand(Decimal(cost_from), Decimal(percent)) for cost_from, percent in bands]


LADDER = ladder(("0", "100"), ("50", "50"), ("200", "25"))


def sell(cost, mode, bands=LADDER, currency="EUR", list_price=None):
    capped = None if list_price is None else Decimal(list_price)
    return sell_price(Decimal(cost), bands, mode=mode, currency=currency, list_price=capped)


@pytest.mark.parametrize(
    ("cost", "stepped", "continuous"),
    # By hand, below, at and above each band's edge. Continuous: 50 x 2 = 100; + 150 x 1.5 = 325; then x 1.25.
    [
        ("0", "0.00", "0.00"),
        ("10.00", "20.00", "20.00"),
        ("49.99", "99.98", "99.98"),
        ("50.00", "75.00", "100.00"),
        ("50.01", "75.02", "100.02"),  # 75.015 and 100.015, halves up
        ("199.99", "299.99", "324.99"),  # 299.985 and 324.985, halves up
        ("200.00", "250.00", "325.00"),
        ("200.01", "250.01", "325.01"),
        ("1000.00", "1250.00", "1325.00"),
    ],
)
def test_a_cost_takes_the_whole_band_or_its_slices(cost, stepped, continuous):
    assert str(sell(cost, "stepped").amount) == stepped
    assert str(sell(cost, "continuous").amount) == continuous


def test_a_stepped_price_drops_at_the_edge_and_a_continuous_one_does_not():
    assert sell("50.00", "stepped").amount < sell("49.99", "stepped").amount
    assert sell("50.00", "continuous").amount > sell("49.99", "continuous").amount


@pytest.mark.parametrize(
    ("currency", "amount"),
    # By hand: 12.345 at 100 % is 24.69.
    [("JPY", "25"), ("EUR", "24.69"), ("KWD", "24.690")],
)
def test_the_price_is_rounded_once_to_the_currency(currency, amount):
    assert str(sell("12.345", "stepped", currency=currency).amount) == amount


def test_the_percentage_is_what_was_added_over_the_cost():
    assert sell("60.00", "stepped").percent == Decimal("50")
    # By hand: 115.00 over 60.00 is 91.666... %.
    assert str(sell("60.00", "continuous").percent) == "91.67"
    assert sell("0", "continuous").percent == Decimal(100)


@pytest.mark.parametrize(
    ("list_price", "amount", "percent"),
    # By hand, around the uncapped 90.00 and around the cost of 60.00.
    [
        ("90.01", "90.00", "50.00"),
        ("90.00", "90.00", "50.00"),
        ("89.99", "89.99", "49.98"),
        ("60.01", "60.01", "0.02"),
        ("60.00", "60.00", "0.00"),
        ("59.99", "60.00", "0.00"),
    ],
)
def test_the_price_stops_at_the_list_price_but_never_below_cost(list_price, amount, percent):
    price = sell("60.00", "stepped", list_price=list_price)
    assert (str(price.amount), str(price.percent)) == (amount, percent)


@pytest.mark.parametrize(
    ("cost", "mode", "list_price", "reason"),
    [
        ("60.00", "stepped", None, "cost 60.00 EUR: 50 % on the whole"),
        ("60.00", "stepped", "90.00", "cost 60.00 EUR: 50 % on the whole"),
        ("0.125", "stepped", None, "cost 0.125 EUR: 100 % on the whole"),
        ("50.00", "continuous", None, "cost 50.00 EUR: 100 % on the whole"),
        (
            "250.00",
            "continuous",
            None,
            "cost 250.00 EUR: 100 % on the first 50.00, 50 % on the next 150.00, 25 % on the next 50.00",
        ),
        (
            "60.00",
            "stepped",
            "80.00",
            "cost 60.00 EUR: 50 % on the whole; would be 90.00 EUR, held at the list price 80.00 EUR",
        ),
        (
            "60.00",
            "stepped",
            "50.00",
            "cost 60.00 EUR: 50 % on the whole; would be 90.00 EUR; "
            "the list price 50.00 EUR is below cost, so it sells at cost",
        ),
    ],
)
def test_the_reason_says_how_the_price_came_about(cost, mode, list_price, reason):
    assert sell(cost, mode, list_price=list_price).reason == reason


COSTS = st.decimals(0, 5000, places=2)
LADDERS = st.lists(st.tuples(COSTS, st.decimals(0, 300, places=1)), max_size=5).map(
    lambda rows: ladder(("0", "80"), *sorted({row[0]: row for row in rows if row[0]}.values()))
)
LIST_PRICES = st.none() | st.decimals(0, 8000, places=2)


@given(bands=LADDERS, one=COSTS, other=COSTS, list_price=LIST_PRICES)
def test_a_dearer_part_never_sells_for_less_on_a_continuous_ladder(bands, one, other, list_price):
    cheaper, dearer = sorted((one, other))
    low = sell(cheaper, "continuous", bands, list_price=list_price)
    high = sell(dearer, "continuous", bands, list_price=list_price)
    assert low.amount <= high.amount


@given(bands=LADDERS, cost=COSTS, mode=st.sampled_from(["stepped", "continuous"]), list_price=LIST_PRICES)
def test_nothing_sells_below_cost_or_above_a_list_price_that_covers_it(bands, cost, mode, list_price):
    amount = sell(cost, mode, bands, list_price=list_price).amount
    assert amount >= cost
    if list_price is not None and list_price >= cost:
        assert amount <= list_price


@given(bands=LADDERS, cost=st.integers(0, 3000))
def test_a_continuous_price_is_the_sum_over_every_unit_of_the_cost(bands, cost):
    whole = [MarkupBand(Decimal(int(band.cost_from)), band.percent) for band in bands]
    unique = list({band.cost_from: band for band in whole}.values())
    added = sum(
        Fraction(max((band for band in unique if band.cost_from <= unit), key=lambda b: b.cost_from).percent)
        for unit in range(cost)
    )
    exact = cost + added / 100
    assert abs(Fraction(sell(str(cost), "continuous", unique).amount) - exact) <= Fraction(1, 200)


@given(cost=COSTS, percent=st.decimals(0, 300, places=1))
def test_with_one_band_both_readings_agree(cost, percent):
    bands = ladder(("0", percent))
    assert sell(cost, "stepped", bands).amount == sell(cost, "continuous", bands).amount


@pytest.mark.parametrize(
    ("bands", "fault"),
    [
        ([], "markup: has no band"),
        ([("1", "50")], "markup band 1: starts at 1"),
        ([("0", "50"), ("10", "40"), ("10", "30")], "markup band 3: starts at 10, not above 10"),
        ([("0", "50"), ("10", "40"), ("9", "30")], "markup band 3: starts at 9, not above 10"),
        ([("0", "50"), ("10", "-1")], "markup band 2: -1 % would sell below cost"),
    ],
)
def test_an_unsound_ladder_is_refused_by_its_band(bands, fault):
    with pytest.raises(Refused, match=fault):
        sell("1.00", "stepped", ladder(*bands))
    assert fault in str(ladder_faults(ladder(*bands))[0])


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        ({"cost": "-0.01"}, "cost: -0.01 is negative"),
        ({"cost": "NaN"}, "cost: NaN is not a number"),
        ({"list_price": "-1"}, "list price: -1.00 is negative"),
        ({"list_price": "1.001"}, "list price: 1.001 EUR is finer"),
        ({"mode": "sloped"}, "markup mode: no mode 'sloped'"),
        ({"bands": ladder(("0", "NaN"))}, "markup band 1: NaN is not a number"),
        ({"currency": "XAU"}, "XAU has no minor unit"),
    ],
)
def test_what_cannot_be_priced_is_refused_by_name(arguments, fault):
    with pytest.raises(Refused, match=fault):
        sell(**({"cost": "1.00", "mode": "stepped"} | arguments))


def test_a_float_is_a_programming_mistake():
    with pytest.raises(TypeError, match="float"):
        sell_price(1.5, LADDER, mode="stepped", currency="EUR")  # type: ignore[arg-type]
