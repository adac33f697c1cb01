"""The demonstration pack against physics and published tables: what is invented must still be possible."""

import math
from decimal import Decimal

import pytest
from demo_rows import FAMILIES, family_spec, limits, of, rows, specs_by_owner

# Nominal diameter and pitch: tensile stress area, mm2. ISO 261 combinations; the areas of the coarse ones
# are printed in EN ISO 898-1 (tables at usefastener.com and optimas.com), those of the fine ones follow from
# the basic profile of ISO 724.
STRESS_AREAS = {
    "M4x0.7": 8.78, "M5x0.8": 14.2, "M6x1": 20.1, "M8x1.25": 36.6, "M10x1.5": 58.0, "M12x1.75": 84.3,
    "M14x2": 115, "M16x2": 157, "M8x1": 39.17, "M10x1": 64.49, "M10x1.25": 61.20, "M12x1.25": 92.07,
    "M14x1.5": 124.55,
}  # fmt: skip
PROOF_STRESS = 580  # N/mm2, class 8.8 up to 16 mm: EN ISO 898-1 proof loads at optimas.com
NUT_FACTOR = 0.20  # zinc plated: Shigley, 9th edition, table 8-15

# AS568 inside diameters in inches: unitcheatsheet.com o-ring-sizes; -116 and -211 are 18.72 and 20.22 mm in
# public tables; -429 is in US Navy training manual 14105, p. 118.
ORING_INSIDE = {
    "AS568-116": ".737", "AS568-210": ".734", "AS568-211": ".796", "AS568-214": ".984", "AS568-222": "1.484",
    "AS568-429": "4.975",
}  # fmt: skip
# Cross-sections by series, inches: utilitiesbunker.com o-ring groove dimensions.
ORING_SECTION = {"0": ".070", "1": ".103", "2": ".139", "3": ".210", "4": ".275"}
MM = Decimal("25.4")
TO_THE_HUNDREDTH = Decimal("0.0051")  # values are stated in hundredths of a millimetre

HEATERS = [owner for owner, stated in specs_by_owner().items() if owner[1] == "glow-plug"]


@pytest.mark.parametrize("owner", HEATERS, ids=str)
@pytest.mark.parametrize(
    ("resistance", "current"),
    [("cold-resistance", "switch-on-current"), ("hot-resistance", "operating-current")],
)
def test_supply_voltage_over_resistance_gives_the_stated_current(owner, resistance, current):
    # Ohm's law, I = U / R: nominal within 2 %, and every resistance within its limits gives a current
    # within the stated limits.
    stated = specs_by_owner()[owner]
    volts = limits(stated["supply-voltage"][0])[1]
    low, nominal, high = limits(stated[resistance][0])
    least, usual, most = limits(stated[current][0])
    assert abs(volts / nominal - usual) <= usual * Decimal("0.02")
    assert least <= volts / high
    assert volts / low <= most


@pytest.mark.parametrize("family", FAMILIES)
def test_the_heaters_are_made_for_the_voltage_of_the_engine(family):
    (engine,) = of("engine_families", code=family)
    assert family_spec(family, "glow-plug", "supply-voltage")[1] == Decimal(engine["voltage"])


@pytest.mark.parametrize("family", FAMILIES)
def test_relay_and_fuse_carry_the_sum_of_all_heaters(family):
    # Kirchhoff: the heaters are in parallel, their currents add up in the relay and the fuse link.
    (engine,) = of("engine_families", code=family)
    count = int(engine["cylinders"])
    switch_on = count * family_spec(family, "glow-plug", "switch-on-current")[1]
    settled = count * family_spec(family, "glow-plug", "operating-current")[2]
    assert family_spec(family, "glow-relay", "contact-rating")[1] >= switch_on
    assert family_spec(family, "glow-fuse", "rated-current")[1] > settled


@pytest.mark.parametrize("family", FAMILIES)
def test_a_good_preheat_current_means_that_no_heater_is_open(family):
    each = family_spec(family, "glow-plug", "operating-current")
    (point,) = of("test_points", family=family, unit="A")
    cylinders = of("positions", family=family, scope="cylinder")
    count = sum(row["bank"] in ("", "A") for row in cylinders)
    low, high = Decimal(point["minimum"]), Decimal(point["maximum"])
    assert low <= count * each[1] <= high
    assert (count - 1) * each[2] < low


@pytest.mark.parametrize("family", FAMILIES)
def test_a_heater_measured_alone_is_judged_by_its_own_limits(family):
    low, _, high = family_spec(family, "glow-plug", "cold-resistance")
    alone = [
        point for point in of("test_points", family=family, unit="Ohm")
        if [row["component"] for row in of("test_point_components", family=family, test_point=point["code"])]
        == ["heater"]
    ]  # fmt: skip
    assert [(Decimal(p["minimum"]), Decimal(p["maximum"])) for p in alone] == [(low, high)]


@pytest.mark.parametrize(
    "row", [r for r in rows("specs") if r["property"] == "thread"], ids=lambda r: r["text"]
)
def test_threads_are_standard_ones(row):
    assert row["text"] in STRESS_AREAS


@pytest.mark.parametrize(("thread", "area"), STRESS_AREAS.items())
def test_the_table_of_threads_agrees_with_the_formula(thread, area):
    # ISO 898-1: As = pi/4 ((d2 + d3) / 2)^2 with d2 = d - 0.649519 P and d3 = d - 1.226869 P (ISO 724).
    diameter, pitch = (float(number) for number in thread.removeprefix("M").split("x"))
    mean = diameter - (0.649519 + 1.226869) / 2 * pitch
    assert math.pi / 4 * mean**2 == pytest.approx(area, rel=0.005)


def test_no_tightening_torque_is_more_than_the_thread_bears():
    # T = K F d (Shigley eq. 8-27) at the proof load of a class 8.8 screw.
    checked = 0
    for owner, stated in specs_by_owner().items():
        for thread in stated.get("thread", ()):
            diameter = float(thread["text"].removeprefix("M").split("x")[0]) / 1000
            most = NUT_FACTOR * PROOF_STRESS * STRESS_AREAS[thread["text"]] * diameter
            for torque in stated.get("tightening-torque", ()):
                assert limits(torque)[2] <= most, owner
                checked += 1
    assert checked > 40


def test_heaters_are_tightened_well_below_the_torque_at_which_they_break():
    for family in FAMILIES:
        tight = family_spec(family, "glow-plug", "tightening-torque")[2]
        assert tight < family_spec(family, "glow-plug", "loosening-limit")[1]


def test_o_rings_have_the_sizes_of_their_dash_numbers():
    checked = 0
    for owner, stated in specs_by_owner().items():
        if "o-ring-size" not in stated or "inside-diameter" not in stated:
            continue
        size = stated["o-ring-size"][0]["text"]
        inside = limits(stated["inside-diameter"][0])[1]
        assert abs(inside - Decimal(ORING_INSIDE[size]) * MM) < TO_THE_HUNDREDTH, owner
        for section in stated.get("ring-cross-section", ()):
            series = size.removeprefix("AS568-")[0]
            assert abs(limits(section)[1] - Decimal(ORING_SECTION[series]) * MM) < TO_THE_HUNDREDTH, owner
        checked += 1
    assert checked > 10


def test_every_o_ring_size_named_is_in_the_table():
    assert {r["text"] for r in rows("specs") if r["property"] == "o-ring-size"} <= set(ORING_INSIDE)
