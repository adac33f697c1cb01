"""Readings to findings on the small engine: limits, peers, diagnosis, and a person's word beside it."""

from dataclasses import replace
from decimal import Decimal

import pytest

from estimates.rules.diagnosis import ComponentAt
from estimates.rules.intake import JudgedIn, ReadingIn
from estimates.rules.judging import assess, judge_readings, path_of
from estimates.rules.reading import Measured
from tests.rules.estimates.small_engine import (
    ENGINE,
    FOUR,
    ONE,
    THREE,
    TWO,
    A,
    B,
    D,
    book,
    lamp,
    resistance,
)  # fmt: skip

BOOK = book()


def ohms(place, value, phase="before", point="resistance", **meter) -> ReadingIn:
    measured = Measured("open") if value == "open" else Measured("number", D(value), **meter)
    return ReadingIn(point, place, measured, str(value), phase)


def lit(state, point="lamp") -> ReadingIn:
    return ReadingIn(point, ENGINE, Measured(state), f"lamp {state}")


def by_hand(component, place, standing, reason="seen", quantity=1) -> JudgedIn:
    return JudgedIn(component, place, standing, quantity, reason)


def standings(assessment):
    return {(f.component, f.position.code): f.standing for f in assessment.findings}


def test_an_open_heater_beside_a_good_one_is_confirmed():
    # both paths run through the harness of bank A; the good reading clears it, the heater of 1 is left
    found = assess(BOOK, [ohms(ONE, "open"), ohms(TWO, "0.60")], []).findings
    assert standings(assess(BOOK, [ohms(ONE, "open"), ohms(TWO, "0.60")], [])) == {
        ("heater", "1"): "confirmed"
    }
    assert found[0].reasons == (
        "the only component left in the path of resistance, cylinder 1; "
        "the rest was cleared by resistance, cylinder 2",
    )


def test_an_open_heater_alone_leaves_its_whole_path_suspected():
    assert standings(assess(BOOK, [ohms(ONE, "open")], [])) == {
        ("heater", "1"): "suspected", ("harness", "A"): "suspected",
    }  # fmt: skip


def test_a_good_reading_on_the_other_bank_clears_nothing_here():
    assert standings(assess(BOOK, [ohms(ONE, "open"), ohms(THREE, "0.60")], [])) == {
        ("heater", "1"): "suspected", ("harness", "A"): "suspected",
    }  # fmt: skip


def test_readings_too_close_to_call_neither_clear_nor_accuse():
    close = ohms(TWO, "0.89", accuracy_counts=2, resolution=D("0.01"))
    assert standings(assess(BOOK, [ohms(ONE, "open"), close], [])) == {
        ("heater", "1"): "suspected", ("harness", "A"): "suspected",
    }  # fmt: skip


def test_a_reading_good_by_its_limits_but_apart_from_its_peers_clears_nothing():
    # median 0.505, MAD 0.01: 0.6745 x 0.295 / 0.01 = 19.90, beyond 3.5
    readings = [ohms(ONE, "0.50"), ohms(TWO, "0.51"), ohms(THREE, "0.49"), ohms(FOUR, "0.80")]
    judged = judge_readings(BOOK, readings)
    assert [one.judgement.outcome for one in judged] == ["good", "good", "good", "unclear"]
    assert "19.90" in judged[3].judgement.reason


def test_readings_after_the_repair_are_judged_but_accuse_nobody():
    assessment = assess(BOOK, [ohms(ONE, "open", "after")], [])
    assert [one.judgement.outcome for one in assessment.readings] == ["bad"]
    assert assessment.findings == ()


def test_readings_before_and_after_are_not_each_others_peers():
    readings = [ohms(p, v) for p, v in ((ONE, "0.50"), (TWO, "0.51"), (THREE, "0.49"))]
    after = ohms(FOUR, "0.80", "after")
    assert judge_readings(BOOK, [*readings, after])[3].judgement.outcome == "good"


def test_the_path_of_a_cylinder_runs_through_its_own_bank():
    assert path_of(BOOK, ohms(THREE, "0.6")) == {ComponentAt("heater", "3"), ComponentAt("harness", "B")}


def test_a_test_of_a_bank_runs_through_all_its_cylinders():
    bank = resistance("bank-current", scope="bank")
    assert path_of(book(test_points=(bank,)), ohms(A, "0.6", point="bank-current")) == {
        ComponentAt("heater", "1"), ComponentAt("heater", "2"), ComponentAt("harness", "A"),
    }  # fmt: skip


def test_a_test_of_the_engine_runs_through_both_banks():
    whole = lamp("all", path=("harness", "relay"))
    assert path_of(book(test_points=(whole,)), lit("on", "all")) == {
        ComponentAt("harness", "A"), ComponentAt("harness", "B"), ComponentAt("relay", "engine"),
    }  # fmt: skip


def test_a_lamp_that_stays_dark_confirms_the_only_component_in_its_path():
    assert standings(assess(BOOK, [lit("off")], [])) == {("relay", "engine"): "confirmed"}


def test_readings_that_contradict_each_other_are_said_and_find_nothing():
    whole = replace(lamp("through"), path=("relay",))
    both = book(test_points=(lamp(), whole))
    assessment = assess(both, [lit("on"), lit("off", "through")], [])
    assert assessment.findings == ()
    assert len(assessment.diagnosis.contradictions) == 1


# A person's own finding


def test_a_finding_by_hand_stands_without_any_reading():
    found = assess(BOOK, [], [by_hand("belt", ENGINE, "advisory", "frayed", 2)]).findings[0]
    assert (found.computed, found.judged, found.standing, found.quantity) == (None, "advisory", "advisory", 2)
    assert (found.reasons, found.by_person) == (("frayed",), True)


@pytest.mark.parametrize("standing", ["confirmed", "suspected", "advisory"])
def test_a_persons_word_goes_before_the_computed_one_and_both_stay_visible(standing):
    found = assess(BOOK, [lit("off")], [by_hand("relay", ENGINE, standing, "clicks")]).findings
    assert [(f.computed, f.judged, f.standing) for f in found] == [("confirmed", standing, standing)]
    assert found[0].reasons[0] == "clicks"
    assert len(found[0].reasons) == 2


def test_a_finding_by_hand_at_another_place_is_another_finding():
    judged = [by_hand("heater", TWO, "advisory")]
    assessment = assess(BOOK, [ohms(ONE, "open"), ohms(TWO, "0.60")], judged)
    assert standings(assessment) == {("heater", "1"): "confirmed", ("heater", "2"): "advisory"}


def test_findings_come_by_component_and_then_by_place():
    judged = [
        by_hand("belt", ENGINE, "advisory"),
        by_hand("heater", FOUR, "advisory"),
        by_hand("clip", B, "advisory"),
    ]
    found = assess(BOOK, [lit("off")], [*judged, by_hand("heater", ONE, "advisory")]).findings
    assert [(f.component, f.position.code) for f in found] == [
        ("heater", "1"), ("heater", "4"), ("clip", "B"), ("belt", "engine"), ("relay", "engine"),
    ]  # fmt: skip


def test_nothing_measured_and_nothing_seen_finds_nothing():
    assessment = assess(BOOK, [], [])
    assert (assessment.readings, assessment.findings) == ((), ())


def test_more_likely_components_weigh_more_in_the_diagnosis():
    likely = book()
    likely.components["heater"] = replace(likely.components["heater"], likelihood=Decimal(3))
    diagnosis = assess(likely, [ohms(ONE, "open")], []).diagnosis
    assert diagnosis.chance(ComponentAt("heater", "1")) > diagnosis.chance(ComponentAt("harness", "A"))
