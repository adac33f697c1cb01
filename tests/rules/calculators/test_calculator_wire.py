"""Copper wire against HyperPhysics' wire gauge table and the ASTM B258 formula."""

from decimal import Decimal
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.sheets.wires import WIRE
from catalog.rules.calculators.wire import awg_area, awg_diameter, drop, gauge_number, resistance
from shop.rules.errors import Refused

THOUSAND_FEET = Decimal("304.8")
TWENTY = Decimal(20)


@pytest.mark.parametrize(
    ("gauge", "ohms"),
    # HyperPhysics, "American wire gauge" (wirega.html): ohms per 1000 ft of copper at 20 °C.
    [
        (10, "0.9989"), (12, "1.588"), (14, "2.525"), (16, "4.016"), (18, "6.385"), (20, "10.15"),
        (22, "16.14"), (24, "25.67"),
    ],
)  # fmt: skip
def test_ohms_per_thousand_feet_agree_with_hyperphysics(gauge, ohms):
    printed = Decimal(ohms)
    found = resistance(awg_area(gauge), THOUSAND_FEET, TWENTY)
    # The resistivity agrees to 0.02 %; the last figure printed is good to half of itself.
    half = Decimal(1).scaleb(printed.as_tuple().exponent) / 2
    assert abs(found - printed) <= printed * Decimal("0.0002") + half


@pytest.mark.parametrize(
    ("gauge", "diameter"),
    # HyperPhysics, as above, and the copper table at electronikmade.blogspot: inch.
    [(10, ".1019"), (12, ".08081"), (14, ".06408"), (16, ".05082"), (18, ".04030"), (20, ".03196")],
)
def test_diameters_agree_with_the_printed_ones(gauge, diameter):
    printed = Decimal(diameter)
    assert (awg_diameter(gauge) / Decimal("25.4")).quantize(printed) == printed


def test_awg_18_in_metric():
    # ASTM B258 formula, worked by hand: 1.0237 mm, 0.8230 mm2; 20.95 ohm/km (HyperPhysics prints 20.9).
    assert f"{awg_diameter(18):.4f}" == "1.0237"
    assert f"{awg_area(18):.4f}" == "0.8230"
    assert f"{resistance(awg_area(18), Decimal(1000), TWENTY):.2f}" == "20.95"


def test_the_two_gauges_that_define_the_series_have_their_round_diameters():
    # ASTM B258: AWG 36 is 0.0050 in and 0000 is 0.4600 in, 39 steps apart.
    assert awg_diameter(36) == Decimal("0.127")
    assert abs(awg_diameter(-3) - Decimal("11.684")) < Decimal("1e-30")


@pytest.mark.parametrize("temperature", ["-100", "20", "40", "250"])
def test_a_warmer_wire_has_0_393_percent_more_for_each_kelvin(temperature):
    # 0.00393 per kelvin at 20 °C for copper of the International Annealed Copper Standard: Industrial Power
    # Engineering and Applications Handbook, page 970. At 40 °C: 20.948 x 1.0786 = 22.594 ohm/km for AWG 18.
    warmth = Decimal(temperature)
    found = resistance(awg_area(18), Decimal(1000), warmth)
    factor = 1 + Decimal("0.00393") * (warmth - 20)
    assert abs(found - resistance(awg_area(18), Decimal(1000), TWENTY) * factor) < Decimal("1e-25")
    if temperature == "40":
        assert abs(found - Decimal("22.594")) < Decimal("0.002")


def test_glow_current_through_three_metres_there_and_back():
    # Ohm's law with the AWG 12 of HyperPhysics: 6 m x 5.2107e-3 ohm/m = 0.03126 ohm; 20 A lose 0.625 V.
    found = drop(awg_area(12), Decimal(6), TWENTY, Decimal(20), Decimal(12))
    assert f"{found.resistance:.5f}" == "0.03126"
    assert f"{found.volts:.3f}" == "0.625"
    assert f"{found.percent:.2f}" == "5.21"


@given(st.integers(-3, 34))
def test_six_gauges_up_the_diameter_is_about_half_always_in_one_ratio(gauge):
    # ASTM B258: the ratio of one step is the 39th root of 92, of six steps 2.0050.
    ratio = awg_diameter(gauge) / awg_diameter(gauge + 6)
    assert abs(ratio**39 - Decimal(92) ** 6) / Decimal(92) ** 6 < Decimal("1e-25")
    assert f"{ratio:.4f}" == "2.0050"


@given(st.integers(-3, 40))
def test_the_power_agrees_with_ordinary_floats(gauge):
    assert float(awg_diameter(gauge)) == pytest.approx(0.127 * 92 ** ((36 - gauge) / 39), rel=1e-13)
    assert float(awg_area(gauge)) == pytest.approx(pi / 4 * float(awg_diameter(gauge)) ** 2, rel=1e-13)


@given(
    st.decimals("0.1", "200", places=2),
    st.decimals("0", "1000", places=2),
    st.decimals("0", "500", places=1),
)
def test_twice_the_length_or_the_current_loses_twice_as_much(area, length, current):
    once = drop(area, length, TWENTY, current, Decimal(12)).volts
    longer = drop(area, 2 * length, TWENTY, current, Decimal(12)).volts
    more = drop(area, length, TWENTY, 2 * current, Decimal(12)).volts
    thicker = drop(2 * area, length, TWENTY, current, Decimal(12)).volts
    for found in (longer, more, 4 * thicker):
        assert abs(found - 2 * once) <= once * Decimal("1e-25")


@pytest.mark.parametrize(
    ("written", "number"),
    [("0000", -3), ("4/0", -3), ("000", -2), ("00", -1), ("2/0", -1), ("0", 0), ("1/0", 0), ("1", 1),
     ("40", 40),
     ("AWG 18", 18), ("awg18", 18)],
)  # fmt: skip
def test_gauges_are_read_as_people_write_them(written, number):
    assert gauge_number(written) == number


@pytest.mark.parametrize("written", ["", "41", "-1", "00000", "5/0", "0/0", "18.5", "018", "٨", "4 / 0"])
def test_what_is_no_gauge_is_refused(written):
    with pytest.raises(Refused, match="is not an AWG size"):
        gauge_number(written)


def test_one_way_counts_twice_and_a_loop_once():
    one_way = {"gauge": "12", "length": "3", "current": "20", "supply": "12"}
    loop = one_way | {"length": "6", "length_is": "loop"}
    told = [WIRE.answer(typed).figures for typed in (one_way, loop)]
    assert told[0] == told[1]


def test_a_result_in_another_unit_leaves_the_entries_as_they_are():
    typed = {"gauge": "12", "length": "3", "current": "20", "supply": "12"}
    drops = [
        next(one for one in WIRE.answer(typed | more).figures if one.name == "drop")
        for more in ({}, {"show_voltage": "mV"})
    ]
    assert drops[0].nominal == drops[1].nominal
    assert drops[1].text("mV") == "625.3 mV"


def test_a_current_that_the_supply_cannot_drive_is_said_to_be_impossible():
    told = WIRE.answer({"gauge": "24", "length": "30", "current": "20", "supply": "12"})
    assert told.verdicts[0].outcome == "not possible"


@pytest.mark.parametrize(
    ("typed", "where", "words"),
    [
        ({"temperature": "-273.16"}, "temperature", "is not at least -100 °C"),
        ({"temperature": "-460 °F"}, "temperature", "is not at least -100 °C"),
        ({"temperature": "-100.1"}, "temperature", "is not at least -100 °C"),
        ({"temperature": "250.1"}, "temperature", "is more than 250 °C"),
        ({"length": "0"}, "length", "is not more than 0 m"),
        ({"supply": "0"}, "supply", "is not more than 0 V"),
        ({"area": "4"}, "area", "both the gauge and the area"),
        ({"gauge": ""}, "gauge", "is missing"),
        ({"current": "-1"}, "current", "is not at least 0 A"),
        ({"current": "20 V"}, "current", "measures voltage, not current"),
    ],
)
def test_what_cannot_be_is_refused_naming_the_entry(typed, where, words):
    right = {"gauge": "12", "length": "3", "current": "20", "supply": "12"}
    with pytest.raises(Refused) as refusal:
        WIRE.answer(right | typed)
    assert [(fault.where, words in fault.what) for fault in refusal.value.faults] == [(where, True)]


@pytest.mark.parametrize(
    ("temperature", "words"),
    [
        ("-273.16", "below absolute zero"),
        ("-273.15", "straight-line rule"),
        ("-100.1", "straight-line rule"),
        ("250.1", "straight-line rule"),
    ],
)
def test_the_rule_itself_refuses_temperatures_it_does_not_hold_for(temperature, words):
    with pytest.raises(Refused, match=words):
        resistance(Decimal(1), Decimal(1), Decimal(temperature))
