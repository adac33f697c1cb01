"""Steps that take longer on one machine: whole minutes, rounded once, with the reason; worked by hand."""

from decimal import Decimal

import pytest

from estimates.rules.derive import TestDone, derive
from estimates.rules.factors import slowed
from estimates.rules.intake import FactorIn
from estimates.rules.workload import workload
from tests.rules.estimates.small_engine import FOUR, ONE, A, B, book, found


def rust(step, place, by, reason="bolts corroded"):
    return FactorIn(step, place, Decimal(by), reason)


def plan_of(*factors, tests=()):
    return derive(book(), [found("heater", ONE), found("heater", FOUR)], tests, factors=factors)


def minutes(plan):
    return {key: step.minutes for key, step in plan.steps.items()}


def test_a_factor_without_a_place_holds_wherever_the_step_is_done():
    plain, slow = minutes(plan_of()), minutes(plan_of(rust("cover", None, "1.5")))
    assert (plain["cover@A"], plain["cover@B"]) == (30, 30)
    assert (slow["cover@A"], slow["cover@B"], slow["pipe@engine"]) == (45, 45, 12)


def test_a_factor_at_a_place_holds_there_alone():
    slow = minutes(plan_of(rust("cover", B, "1.5")))
    assert (slow["cover@A"], slow["cover@B"]) == (30, 45)


# The pipe takes 12 minutes: x 1.12, 1.125, 1.13 is 13.44, 13.5 and 13.56.
@pytest.mark.parametrize(("by", "whole"), [("1.12", 13), ("1.125", 14), ("1.13", 14)])
def test_minutes_stay_whole_rounded_half_up(by, whole):
    assert minutes(plan_of(rust("pipe", None, by)))["pipe@engine"] == whole


def test_two_factors_on_one_step_multiply_and_are_rounded_once():
    # 12 x 1.1 x 1.1 = 14.52, so 15; rounded in between it would be 13.2, 13, then 14.3, 14.
    plan = plan_of(rust("pipe", None, "1.1"), rust("pipe", plan_of().steps["pipe@engine"].place, "1.1"))
    assert minutes(plan)["pipe@engine"] == 15


def test_what_was_changed_is_told_with_its_reasons_once_each():
    plan = plan_of(rust("cover", None, "1.5"), rust("cover", A, "1.2", "no room"), rust("cover", B, "2"))
    told = {step.place.code: (step.usual, step.minutes, step.by, step.reason) for step in plan.slow}
    assert told == {
        "A": (30, 54, Decimal("1.80"), "bolts corroded; no room"),
        "B": (30, 90, Decimal("3.0"), "bolts corroded"),
    }


def test_a_factor_on_a_step_that_nothing_opens_changes_nothing():
    idle = FactorIn("no-such", None, Decimal(3), "rust")
    assert plan_of(idle) == plan_of()
    assert slowed({}, [idle]) == ({}, ())


def test_a_cover_that_was_hard_to_take_off_for_the_tests_is_counted_once_with_its_factor():
    plan = plan_of(rust("cover", A, "1.5"), tests=[TestDone("resistance", ONE)])
    plain = plan_of(tests=[TestDone("resistance", ONE)])
    longer = workload(plan.group("firm"), plan.steps).minutes
    assert longer == workload(plain.group("firm"), plain.steps).minutes + 15
