"""Part numbers: what is ignored and what counts. The list of ignored marks is our own rule, no source."""

import sys
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.partnumber import comparable, normalise
from shop.rules.errors import Refused


@pytest.mark.parametrize(
    "spelling",
    ["GX-1042/B", "gx 1042 b", "GX.1042B", " gx1042b\n", "GX\\1042-B", "G X\t1 0 4 2 B", "Gx--1042..B"],
)
def test_case_spaces_dashes_dots_and_slashes_are_ignored(spelling):
    assert normalise(spelling) == "GX1042B"


@pytest.mark.parametrize("dash", ["\u2010", "\u2011", "\u2013", "\u2014", "\u2212", "\u00ad"])
def test_the_dashes_that_come_with_pasted_text_are_ignored(dash):
    assert normalise(f"GX{dash}1042") == "GX1042"


@pytest.mark.parametrize("space", ["\u00a0", "\u2009", "\u202f", "\u200b", "\ufeff"])
def test_the_spaces_that_come_with_pasted_text_are_ignored(space):
    assert normalise(f"GX{space}1042{space}") == "GX1042"


def test_full_width_letters_and_figures_are_the_same_letters_and_figures():
    assert normalise("\uff27\uff38\uff11\uff10") == "GX10"


@pytest.mark.parametrize(
    ("one", "other"), [("1042", "01042"), ("GX1042", "GX1042B"), ("GX_1", "GX1"), ("O1", "01")]
)
def test_everything_else_counts(one, other):
    assert normalise(one) != normalise(other)


@pytest.mark.parametrize("empty", ["", "   ", "- - -", "./\\"])
def test_a_number_with_nothing_in_it_is_refused(empty):
    with pytest.raises(Refused) as refusal:
        normalise(empty)
    assert refusal.value.faults[0].where == "part number"


def test_the_refusal_repeats_what_was_given():
    with pytest.raises(Refused, match="'- -' has no letter or figure"):
        normalise("- -")


def test_every_single_character_is_dropped_or_stays_the_same_when_normalised_again():
    for code in range(sys.maxunicode + 1):
        character = chr(code)
        if unicodedata.category(character) in {"Cs", "Cn"}:
            continue
        once = normalise("A" + character)
        assert normalise(once) == once, hex(code)


@given(st.text(min_size=1))
def test_normalising_again_changes_nothing(text):
    try:
        once = normalise(text)
    except Refused:
        return
    assert normalise(once) == once


@given(st.text(st.characters(max_codepoint=127), min_size=1))
def test_plain_text_takes_a_short_cut_to_the_same_number(text):
    # The zero-width space (U+200B, category Cf) says nothing, but sends the number the long way.
    try:
        plain = normalise(text)
    except Refused:
        plain = ""
    assert plain == comparable(text + "\u200b")
