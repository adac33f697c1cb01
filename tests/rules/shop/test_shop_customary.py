"""Which other unit is told beside one: common practice, no source."""

import pytest

from shop.rules.customary import customary_other
from shop.rules.units import UNITS, unit


@pytest.mark.parametrize("code", UNITS)
def test_the_other_unit_measures_the_same_and_is_another_one(code):
    other = customary_other(code)
    assert other != code
    assert not other or unit(other).dimension == unit(code).dimension


@pytest.mark.parametrize("code", ["N.m", "mm", "Cel", "kPa", "L", "kg"])
def test_metric_and_inch_stand_for_each_other(code):
    assert customary_other(customary_other(code)) == code
