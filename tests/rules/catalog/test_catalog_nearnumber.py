"""Numbers one slip away: Damerau's four slips, counted by hand."""

import pytest

from catalog.rules.nearnumber import LONGEST, one_slip_away


@pytest.mark.parametrize("typed", ["B", "ABC", "BA", "AC", "1AB", "A1B", "AB1"])
def test_each_of_the_four_slips_is_one_away(typed):
    assert typed in one_slip_away("AB")


@pytest.mark.parametrize("typed", ["AB", "", "CD", "ABCD"])
def test_the_number_itself_and_two_slips_are_not(typed):
    assert typed not in one_slip_away("AB")


def test_the_count_is_that_of_the_four_slips():
    # for "AB": left out 2, swapped 1, mistaken 2 x 35, one too many 3 x 36 less the 2 that come twice
    assert len(one_slip_away("AB")) == 2 + 1 + 70 + 108 - 2


def test_being_one_slip_away_holds_both_ways():
    assert all("GX10" in one_slip_away(other) for other in one_slip_away("GX10"))


@pytest.mark.parametrize(("length", "listed"), [(LONGEST - 1, True), (LONGEST, True), (LONGEST + 1, False)])
def test_a_number_longer_than_any_label_has_no_neighbours(length, listed):
    assert bool(one_slip_away("A" * length)) is listed
