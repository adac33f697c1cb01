"""Heater banks against Ohm's law, worked by hand and by enumeration in fractions."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.heaters import (
    Bank,
    consistent,
    counts_in_words,
    current,
    expected,
    uncertainty,
)
from catalog.rules.calculators.sheets.bank import HEATERS
from shop.rules.errors import Refused


def bank(least="0.60", most="0.60", count=8, leads="0", supply="12"):
    return Bank(Decimal(supply), Decimal(least), Decimal(most), count, Decimal(leads))


def test_twelve_volts_over_six_tenths_of_an_ohm_are_twenty_amperes():
    # Ohm's law.
    assert current(bank(), 1, Decimal("0.60")) == 20
    assert expected(bank(), 8) == (160, 160)


def test_leads_in_front_of_the_bank_take_their_share():
    # Ohm's law by hand: 12 / (0.025 + 0.6 / 8) = 12 / 0.1 = 120 A.
    assert current(bank(leads="0.025"), 8, Decimal("0.60")) == 120


@pytest.mark.parametrize(
    ("measured", "counts"),
    # Seven heaters of 0.60 to 0.66 ohm on 12 V draw 127.27 to 140 A, eight 145.45 to 160 A; the meter is good
    # to 1 A. Below, at and above where each begins and ends to agree.
    [
        ("126.26", ()), ("126.28", (7,)), ("141", (7,)), ("141.01", ()), ("144.44", ()), ("144.46", (8,)),
        ("161", (8,)), ("161.01", ()), ("1", (0,)), ("1.01", ()),
    ],
)  # fmt: skip
def test_a_count_agrees_up_to_the_limits_moved_by_the_uncertainty(measured, counts):
    assert consistent(bank(most="0.66"), Decimal(measured), Decimal(1)) == counts


def test_a_wide_uncertainty_leaves_several_counts_open():
    assert consistent(bank(most="0.66"), Decimal(130), Decimal(12)) == (6, 7)
    assert counts_in_words((6, 7), 8) == "6 or 7 of 8"


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((), "none of the counts explains it"),
        ((8,), "all 8"),
        ((0,), "none of 8 draws current"),
        ((3,), "3 of 8"),
        ((6, 7), "6 or 7 of 8"),
        ((6, 7, 8), "6, 7 or 8 of 8"),
        ((4, 5, 6, 7), "4 to 7 of 8"),
    ],
)
def test_counts_are_said_in_words(counts, words):
    assert counts_in_words(counts, 8) == words


@given(
    st.integers(1, 12),
    st.decimals("0.2", "2", places=3),
    st.decimals("0", "1", places=3),
    st.decimals("0", "0.1", places=3),
    st.decimals("0", "600", places=2),
    st.decimals("0", "20", places=2),
)
def test_a_count_is_consistent_exactly_when_fractions_say_so(count, least, more, leads, measured, around):
    one = Bank(Decimal(12), least, least + more, count, leads)

    def amperes(working, ohms):
        return Fraction(0) if not working else 12 / (Fraction(leads) + Fraction(ohms) / working)

    by_hand = tuple(
        working
        for working in range(count + 1)
        if amperes(working, least + more) <= Fraction(measured + around)
        and amperes(working, least) >= Fraction(measured - around)
    )
    assert consistent(one, measured, around) == by_hand


@given(
    st.integers(1, 12),
    st.decimals("0.2", "2", places=3),
    st.decimals("0", "0.1", places=3),
    st.integers(0, 12),
)
def test_the_current_of_so_many_heaters_is_explained_by_so_many(count, ohms, leads, working):
    one = Bank(Decimal(12), ohms, ohms, count, leads)
    if working <= count:
        assert working in consistent(one, current(one, working, ohms), Decimal(0))


def test_the_meters_uncertainty_is_percent_of_reading_and_amperes():
    assert uncertainty(Decimal(140), Decimal(3), Decimal("0.5")) == Decimal("4.7")


@pytest.mark.parametrize(
    ("measured", "outcome", "words"),
    [
        ("200", "none of the counts explains it", "more than all 8 draw"),
        (
            "143",
            "none of the counts explains it",
            "between what 7 draw at most (140 A) and 8 at least (145.5 A)",
        ),
        ("0", "none of 8 draws current", "no current"),
        ("150", "all 8", "145.5 to 160 A"),
    ],
)
def test_the_verdict_says_why(measured, outcome, words):
    typed = {
        "supply": "12",
        "resistance": "0.60",
        "resistance_max": "0.66",
        "count": "8",
        "measured": measured,
    }
    verdict = HEATERS.answer(typed).verdicts[0]
    assert verdict.outcome == outcome
    assert words in verdict.reason


def test_it_is_said_that_hot_heaters_have_more_resistance_and_what_can_hurt():
    told = HEATERS.answer({"supply": "12", "resistance": "0.60", "count": "8"})
    assert any("gain resistance" in note for note in told.notes)
    assert any("High current" in caution for caution in told.cautions)


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({"resistance": "0"}, "resistance"),
        ({"supply": "0"}, "supply"),
        ({"supply": "-12"}, "supply"),
        ({"count": "0"}, "count"),
        ({"count": "101"}, "count"),
        ({"count": "8.5"}, "count"),
        ({"count": "8.0"}, "count"),
        ({"resistance_max": "0.59"}, "resistance_max"),
        ({"leads": "-1"}, "leads"),
        ({"meter_percent": "3"}, "measured"),
        ({"measured": "-1"}, "measured"),
    ],
)
def test_what_cannot_be_is_refused_naming_the_entry(typed, where):
    right = {"supply": "12", "resistance": "0.60", "count": "8"}
    with pytest.raises(Refused) as refusal:
        HEATERS.answer(right | typed)
    assert [fault.where for fault in refusal.value.faults] == [where]
