"""Judging one reading: below, at and above every zone boundary, worked by hand.

The decision rule is that of ISO 14253-1 (geometrical product specifications: decision rules for proving
conformity or nonconformity): a limit is moved inwards by the uncertainty to prove conformity, outwards to
prove nonconformity, and nothing is proved between. Which side a value exactly on the moved limit falls is
our own statement: unclear, unless the uncertainty is zero, when it is inside.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimates.rules.reading import Expectation, Measured, judge
from shop.rules.errors import Refused

D = Decimal


def ohms(minimum=None, maximum=None, **more):
    return Expectation(
        "number",
        unit="Ohm",
        minimum=None if minimum is None else D(minimum),
        maximum=None if maximum is None else D(maximum),
        **more,
    )


def number(value, **more):
    return Measured("number", D(value), **{name: D(given) for name, given in more.items()})


# A meter of 1 % of reading + 2 counts of 0.01: at 1.00 it is uncertain by 0.01 + 0.02 = 0.03.
def one_percent(value, **more):
    return Measured(
        "number", D(value), accuracy_percent=D(1), accuracy_counts=2, resolution=D("0.01"), **more
    )


def test_the_uncertainty_is_percent_of_reading_plus_counts_of_resolution():
    assert judge(one_percent("1.00"), ohms("0.5", "2")).uncertainty == D("0.03")


def test_the_percent_applies_to_the_reading_as_displayed_before_the_zero_is_taken_off():
    judged = judge(one_percent("1.00", zero=D("0.20")), ohms("0.5", "2"))
    assert (judged.corrected, judged.uncertainty) == (D("0.80"), D("0.03"))


def test_a_negative_reading_has_the_same_uncertainty_as_its_positive():
    assert judge(one_percent("-1.00"), ohms("-2", "2")).uncertainty == D("0.03")


# Limits 0.50 to 2.00 and an uncertainty of exactly 0.10 (10 counts of 0.01): the zone boundaries are
# 0.40, 0.60, 1.90 and 2.10.
ZONES = [
    ("0.39", "bad"),
    ("0.40", "unclear"),
    ("0.41", "unclear"),
    ("0.50", "unclear"),
    ("0.59", "unclear"),
    ("0.60", "unclear"),
    ("0.61", "good"),
    ("1.89", "good"),
    ("1.90", "unclear"),
    ("1.91", "unclear"),
    ("2.00", "unclear"),
    ("2.09", "unclear"),
    ("2.10", "unclear"),
    ("2.11", "bad"),
]


@pytest.mark.parametrize(("value", "outcome"), ZONES)
def test_below_at_and_above_each_zone_boundary(value, outcome):
    measured = Measured("number", D(value), accuracy_counts=10, resolution=D("0.01"))
    assert judge(measured, ohms("0.50", "2.00")).outcome == outcome


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        ("0.49", "bad"),
        ("0.50", "good"),
        ("0.51", "good"),
        ("1.99", "good"),
        ("2.00", "good"),
        ("2.01", "bad"),
    ],
)
def test_with_no_uncertainty_the_limits_themselves_are_inside(value, outcome):
    assert judge(number(value), ohms("0.50", "2.00")).outcome == outcome


def test_a_meter_of_unstated_accuracy_is_taken_as_exact_and_the_reason_says_so():
    assert "accuracy is not stated" in judge(number("1"), ohms("0.5", "2")).reason


@pytest.mark.parametrize(("value", "outcome"), [("1.94", "good"), ("2.00", "unclear"), ("2.07", "bad")])
def test_a_maximum_alone_is_enough(value, outcome):
    assert judge(one_percent(value), ohms(maximum="2.00")).outcome == outcome


@pytest.mark.parametrize(("value", "outcome"), [("1.94", "bad"), ("2.00", "unclear"), ("2.05", "good")])
def test_a_minimum_alone_is_enough(value, outcome):
    assert judge(one_percent(value), ohms(minimum="2.00")).outcome == outcome


def test_a_band_narrower_than_the_meter_can_prove_is_never_good_and_the_reason_says_so():
    judged = judge(one_percent("1.00"), ohms("0.98", "1.02"))
    assert judged.outcome == "unclear"
    assert "too coarse" in judged.reason


def test_the_reason_names_value_uncertainty_and_limit():
    reason = judge(one_percent("3.00"), ohms("0.5", "2.0")).reason
    assert reason == "3.00 Ω is above the maximum 2.0 Ω by more than its uncertainty 0.050 Ω"


def test_an_open_circuit_is_above_any_maximum():
    judged = judge(Measured("open"), ohms("0.5", "2"))
    assert (judged.outcome, judged.corrected) == ("bad", None)


def test_an_open_circuit_meets_a_minimum_standing_alone():
    assert judge(Measured("open"), ohms(minimum="1000000")).outcome == "good"


def test_an_open_circuit_needs_no_temperature():
    expected = ohms("0.5", "2", temperature_min=D(15), temperature_max=D(25))
    assert judge(Measured("open"), expected).outcome == "bad"


def test_an_open_circuit_where_volts_are_expected_is_refused():
    with pytest.raises(Refused, match="open circuit"):
        judge(Measured("open"), Expectation("number", unit="V", minimum=D(11), maximum=D(13)))


@pytest.mark.parametrize(
    ("expected", "seen", "outcome"),
    [("on", "on", "good"), ("on", "off", "bad"), ("off", "off", "good"), ("off", "on", "bad")],
)
def test_a_lamp_is_good_when_it_does_what_is_expected(expected, seen, outcome):
    assert judge(Measured(seen), Expectation("lamp", lamp=expected)).outcome == outcome


def test_a_number_where_a_lamp_is_expected_is_refused():
    with pytest.raises(Refused, match="on or off"):
        judge(number("1"), Expectation("lamp", lamp="on"))


def test_a_lamp_where_a_number_is_expected_is_refused():
    with pytest.raises(Refused, match="measured value"):
        judge(Measured("on"), ohms("0.5", "2"))


COLD = {"temperature_min": D(15), "temperature_max": D(25)}
# Copper: 0.00393 per kelvin at 20 degC (value from memory, as in NBS Handbook 100). Worked by hand: at
# 70 degC the factor is 1 + 0.00393 x 50 = 1.1965, so 1.1965 ohm there is 1 ohm at 20 degC.
COPPER = {**COLD, "temperature_coefficient": D("0.00393")}


@pytest.mark.parametrize(
    ("celsius", "outcome"),
    [("14.9", "unclear"), ("15", "good"), ("20", "good"), ("25", "good"), ("25.1", "unclear")],
)
def test_a_reading_outside_the_stated_temperatures_is_unclear(celsius, outcome):
    assert judge(number("1", temperature=celsius), ohms("0.5", "2", **COLD)).outcome == outcome


def test_a_reading_of_unknown_temperature_where_one_is_stated_is_unclear():
    judged = judge(number("1"), ohms("0.5", "2", **COLD))
    assert judged.outcome == "unclear"
    assert "temperature" in judged.reason


def test_a_reading_outside_the_stated_temperatures_is_corrected_where_the_coefficient_is_known():
    judged = judge(number("1.1965", temperature="70"), ohms("0.9", "1.1", **COPPER))
    assert (judged.outcome, judged.corrected) == ("good", D(1))
    assert "20 °C" in judged.reason


def test_the_uncertainty_is_corrected_with_the_reading():
    measured = number("1.1965", temperature="70", accuracy_percent="10")
    assert judge(measured, ohms("0.5", "2", **COPPER)).uncertainty == D("0.1")


def test_the_zero_comes_off_before_the_temperature_correction():
    measured = number("1.3965", temperature="70", zero="0.2")
    assert judge(measured, ohms("0.9", "1.1", **COPPER)).corrected == D(1)


def test_a_copper_wire_at_forty_degrees_reads_the_handbook_figure_at_twenty():
    # 18 AWG copper: 20.95 ohm/km at 20 degC (ASTM B258); times 1.0786 at 40 degC = 22.594.
    judged = judge(number("22.594", temperature="40", accuracy_percent="0.1"), ohms("20.5", "21.5", **COPPER))
    assert judged.corrected.quantize(D("0.001")) == D("20.948")


def test_a_reading_within_the_stated_temperatures_is_not_corrected():
    judged = judge(number("1.0", temperature="24"), ohms("0.5", "2", **COPPER))
    assert judged.corrected == D("1.0")


def test_a_coefficient_does_not_help_where_the_temperature_is_unknown():
    assert judge(number("1"), ohms("0.5", "2", **COPPER)).outcome == "unclear"


def test_a_coefficient_without_a_range_means_the_limits_hold_at_the_reference_temperature():
    alone = {"temperature_coefficient": D("0.00393")}
    assert judge(number("1.1965", temperature="70"), ohms("0.9", "1.1", **alone)).outcome == "good"
    assert judge(number("1"), ohms("0.9", "1.1", **alone)).outcome == "unclear"


def test_another_reference_temperature_can_be_stated():
    at_25 = {**COPPER, "reference_temperature": D(25)}
    assert judge(number("1.1965", temperature="75"), ohms("0.9", "1.1", **at_25)).corrected == D(1)


def test_a_temperature_so_far_off_that_the_correction_breaks_down_is_unclear():
    judged = judge(number("1", temperature="-250"), ohms("0.5", "2", **COPPER))
    assert judged.outcome == "unclear"
    assert "too far" in judged.reason


def test_a_range_open_at_one_end_is_allowed():
    cold_only = ohms("0.5", "2", temperature_max=D(40))
    assert judge(number("1", temperature="-10"), cold_only).outcome == "good"
    assert judge(number("1", temperature="41"), cold_only).outcome == "unclear"


def test_a_heater_of_0_6_ohm_on_12_volts_draws_the_expected_20_amperes():
    # Ohm's law, 12 V / 0.60 ohm = 20.0 A; the spread of +-10 % is an example, not a source.
    expected = Expectation("number", unit="A", minimum=D(18), maximum=D(22))
    measured = Measured(
        "number", D(12) / D("0.60"), accuracy_percent=D(2), accuracy_counts=5, resolution=D("0.1")
    )
    judged = judge(measured, expected)
    assert (judged.outcome, judged.corrected, judged.uncertainty) == ("good", D(20), D("0.9"))


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: ohms(), "no limit"),
        (lambda: ohms("2", "1"), "above the maximum"),
        (lambda: ohms("NaN", "1"), "not a finite number"),
        (lambda: Expectation("lamp"), "on or off"),
        (lambda: Expectation("colour"), "number or lamp"),
        (lambda: ohms("1", "2", temperature_min=D(30), temperature_max=D(20)), "above"),
        (lambda: Measured("number"), "no value"),
        (lambda: Measured("open", D(1)), "value beside"),
        (lambda: Measured("maybe"), "number, open, on or off"),
        (lambda: number("Infinity"), "not a finite number"),
        (lambda: number("1", accuracy_percent="-1"), "negative"),
        (lambda: Measured("number", D(1), accuracy_counts=-1), "negative"),
        (lambda: Measured("number", D(1), accuracy_counts=3), "resolution"),
        (lambda: number("1", resolution="-0.01"), "negative"),
        (lambda: number("1E+31"), "more places"),
        (lambda: number("1E-31"), "more places"),
    ],
)
def test_an_impossible_reading_or_expectation_is_refused_with_its_fault(make, says):
    with pytest.raises(Refused, match=says):
        make()


decimals = st.decimals("-100", "100", places=2)
uncertainties = st.integers(0, 500)


@given(decimals, decimals, decimals, uncertainties)
def test_good_and_bad_agree_with_the_limits_wherever_the_true_value_lies_in_the_interval(value, a, b, counts):
    low, high = sorted((a, b))
    measured = Measured("number", value, accuracy_counts=counts, resolution=D("0.01"))
    outcome = judge(measured, ohms(low, high)).outcome
    uncertainty = counts * D("0.01")
    ends = (value - uncertainty, value + uncertainty)
    if outcome == "good":
        assert all(low <= end <= high for end in ends)
    elif outcome == "bad":
        assert ends[1] < low or ends[0] > high


@given(decimals, decimals, decimals, uncertainties, uncertainties)
def test_a_coarser_meter_never_turns_good_into_bad_or_unclear_into_either(value, a, b, one, other):
    low, high = sorted((a, b))
    fine, coarse = (
        judge(Measured("number", value, accuracy_counts=c, resolution=D("0.01")), ohms(low, high)).outcome
        for c in sorted((one, other))
    )
    assert coarse in (fine, "unclear")
