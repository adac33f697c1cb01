"""Threads and tightening against EN ISO 898-1 and Shigley.

EN ISO 898-1 as printed at usefastener.com and optimas.com (stress areas, proof loads); Shigley's Mechanical
Engineering Design, 9th edition (equation 8-27, table 8-15, example 8-3).
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.sheets.torque import TORQUE
from catalog.rules.calculators.threads import COARSE, Thread, stress_area, thread
from catalog.rules.calculators.tightening import NUT_FACTORS, preload, proof_load, proof_stress, torque
from shop.rules.errors import Refused
from shop.rules.units import convert


@pytest.mark.parametrize(
    ("size", "area"),
    # EN ISO 898-1, as printed: mm2, three figures.
    [
        ("M3", "5.03"), ("M4", "8.78"), ("M5", "14.2"), ("M6", "20.1"), ("M8", "36.6"), ("M10", "58.0"),
        ("M12", "84.3"), ("M14", "115"), ("M16", "157"), ("M20", "245"),
    ],
)  # fmt: skip
def test_stress_areas_of_coarse_threads_are_as_printed(size, area):
    printed = Decimal(area)
    assert abs(stress_area(thread(size)) - printed) <= printed * Decimal("0.005")


@pytest.mark.parametrize(
    ("size", "area"),
    # ISO 724 geometry, worked by hand: pi/4 (d - 0.938194 P)^2.
    [
        ("M8x1", "39.17"),
        ("M10x1", "64.49"),
        ("M10x1.25", "61.20"),
        ("M12x1.25", "92.07"),
        ("M14x1.5", "124.55"),
    ],
)
def test_stress_areas_of_fine_threads_follow_from_their_geometry(size, area):
    assert f"{stress_area(thread(size)):.2f}" == area


PROOF = [
    ("8.8", "M6", 11600), ("8.8", "M8", 21200), ("8.8", "M10", 33700), ("8.8", "M12", 48900),
    ("8.8", "M16", 91000), ("8.8", "M20", 147000), ("10.9", "M8", 30400), ("10.9", "M10", 48100),
    ("10.9", "M12", 70000),
    ("12.9", "M8", 35500), ("12.9", "M10", 56300), ("12.9", "M12", 81800),
]  # fmt: skip


@pytest.mark.parametrize(("grade", "size", "newtons"), PROOF)
def test_proof_loads_are_as_printed(grade, size, newtons):
    # EN ISO 898-1, as printed at optimas.com: from areas of three figures, some results cut (11658 to 11600)
    # and some rounded up (33640 to 33700): good to 0.7 %.
    bolt = thread(size)
    found = proof_load(stress_area(bolt), grade, bolt.diameter)
    assert abs(found - newtons) <= newtons * Decimal("0.007")


@pytest.mark.parametrize(("diameter", "stress"), [("15.99", 580), ("16", 580), ("16.01", 600)])
def test_class_8_8_is_stronger_above_m16(diameter, stress):
    # EN ISO 898-1, as printed at optimas.com: 580 MPa up to d = 16 mm, 600 MPa above.
    assert proof_stress("8.8", Decimal(diameter)) == stress


def test_the_nut_factors_are_those_of_shigley():
    # Shigley, table 8-15.
    assert {key: str(factor) for key, (_, factor) in NUT_FACTORS.items()} == {
        "black": "0.30", "zinc": "0.20", "lubricated": "0.18", "cadmium": "0.16", "anti-seize": "0.12",
    }  # fmt: skip


def test_the_torque_of_shigleys_example():
    # Shigley, example 8-3: K 0.2, 25 kip, 3/4 in; by equation 8-27 3750 lbf in, which is 423.7 N m.
    force = convert(Decimal(25000), "[lbf_av]", "N")
    found = torque(Decimal("0.2"), force, convert(Decimal("0.75"), "[in_i]", "mm"))
    assert abs(convert(found, "N.m", "[lbf_av].[in_i]") - 3750) < Decimal("1e-9")
    assert f"{found:.1f}" == "423.7"


def test_an_m8_of_class_8_8_at_three_quarters_of_its_proof_load():
    # 0.75 x 21200 N (EN ISO 898-1, optimas.com) = 15900 N; K 0.2 (Shigley): 25.4 N m.
    assert f"{torque(Decimal('0.2'), Decimal(15900), Decimal(8)):.2f}" == "25.44"
    told = TORQUE.answer({"thread": "M8", "property_class": "8.8", "surface": "zinc"})
    found = {one.name: one.nominal for one in told.figures}
    assert abs(found["torque"] - Decimal("25.44")) < Decimal("0.05")
    assert abs(found["preload"] - 15900) < 30


POSITIVE = st.decimals("0.01", "100000", places=2)
FACTOR = st.decimals("0.05", "0.50", places=2)


@given(FACTOR, POSITIVE, st.decimals("1.6", "39", places=1))
def test_the_torque_turned_back_gives_the_preload(factor, force, diameter):
    back = preload(torque(factor, force, diameter), factor, diameter)
    assert abs(back - force) <= force * Decimal("1e-30")


@given(FACTOR, FACTOR, POSITIVE)
def test_more_friction_needs_more_torque(first, second, force):
    low, high = sorted((first, second))
    assert torque(low, force, Decimal(8)) <= torque(high, force, Decimal(8))
    assert preload(force, low, Decimal(8)) >= preload(force, high, Decimal(8))


@given(st.sampled_from(sorted(COARSE)), st.decimals("0.2", "2.5", places=2))
def test_a_finer_thread_carries_more(diameter, pitch):
    coarse = thread(f"M{diameter}")
    if pitch > coarse.pitch:
        with pytest.raises(Refused, match="coarser than the coarse thread"):
            Thread(coarse.diameter, pitch)
    else:
        assert stress_area(Thread(coarse.diameter, pitch)) >= stress_area(coarse)


@pytest.mark.parametrize("written", ["M8", "m8", " M 8 ", "M8x1.25", "M8 X 1.25", "M8×1.25", "M8.0"])
def test_a_thread_is_read_as_people_write_it(written):
    assert str(thread(written)) == "M8x1.25"


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("8", "not a metric thread"),
        ("M", "not a metric thread"),
        ("M8x", "not a metric thread"),
        ("M-8", "not a metric thread"),
        ("1/4-20", "not a metric thread"),
        ("M10x1,25", "comma"),
        ("M18", "coarse pitch of M18 is not on record"),
        ("M8x1.5", "coarser than the coarse thread"),
        ("M8x0", "does not go with"),
        ("M8x0.19", "does not go with"),
        ("M18x4.6", "does not go with"),
        ("M1.5x0.3", "out of range"),
        ("M39.1x4", "out of range"),
    ],
)
def test_what_is_no_thread_is_refused(written, words):
    with pytest.raises(Refused, match=words):
        thread(written)


def test_a_range_of_friction_gives_a_range_of_torque_and_of_preload():
    typed = {"thread": "M8", "nut_factor_min": "0.12", "nut_factor_max": "0.20", "torque": "20"}
    found = {one.name: one for one in TORQUE.answer(typed).figures}
    # T = K F d and F = T / (K d), by hand: 20 N m over 0.20 and 0.12 times 8 mm.
    assert found["torque"].maximum / found["torque"].minimum == pytest.approx(Decimal(5) / 3)
    assert f"{found['preload_at_torque'].minimum:.0f}" == "12500"
    assert f"{found['preload_at_torque'].maximum:.0f}" == "20833"


@pytest.mark.parametrize(
    ("moment", "outcome"),
    # M8 of class 8.8, K 0.2: the proof load, 21233 N, is reached at 33.97 N m.
    [("33.9", "within the proof load"), ("34.0", "above the proof load")],
)
def test_a_torque_beyond_the_proof_load_is_said_to_be(moment, outcome):
    verdicts = TORQUE.answer({"thread": "M8", "torque": moment}).verdicts
    assert verdicts[-1].outcome == outcome


def test_one_nut_factor_alone_is_said_to_leave_the_range_open():
    verdict = TORQUE.answer({"thread": "M8"}).verdicts[0]
    assert verdict.outcome == "without a range"
    assert "common practice, no source" in verdict.reason


def test_the_cautions_put_the_makers_value_first():
    cautions = TORQUE.answer({"thread": "M8"}).cautions
    assert "maker’s tightening value comes first" in cautions[0]
    for word in ("to yield", "aluminium", "glow plugs", "anti-seize"):
        assert any(word in caution for caution in cautions)


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"thread": ""}, "thread"),
        ({"property_class": "9.9"}, "property_class"),
        ({"surface": "wet"}, "surface"),
        ({"nut_factor_min": "0.2"}, "nut_factor_max"),
        ({"nut_factor_max": "0.2"}, "nut_factor_min"),
        ({"nut_factor_min": "0.3", "nut_factor_max": "0.2"}, "nut_factor_max"),
        ({"nut_factor_min": "0", "nut_factor_max": "0.2"}, "nut_factor_min"),
        ({"preload_percent": "0"}, "preload_percent"),
        ({"preload_percent": "100.1"}, "preload_percent"),
        ({"torque": "0"}, "torque"),
        ({"torque": "25 kPa"}, "torque"),
    ],
)
def test_what_cannot_be_is_refused_naming_the_entry(typed, where):
    with pytest.raises(Refused) as refusal:
        TORQUE.answer({"thread": "M8"} | typed)
    assert [fault.where for fault in refusal.value.faults] == [where]
