"""Serial numbers. The scheme and its numbers are invented; the order was written down by hand first."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.serial import SerialScheme
from shop.rules.errors import Refused

SCHEME = SerialScheme("TX", ("TA", "TB", "T4"), 3)
PLAIN = SerialScheme("plain", (), 5)
IN_ORDER = ["TA000", "TA001", "TA010", "TA999", "TB000", "TB009", "TB010", "T4000", "T4999"]


@pytest.mark.parametrize(("earlier", "later"), list(itertools.pairwise(IN_ORDER)))
def test_numbers_count_on_within_a_prefix_and_then_in_the_next(earlier, later):
    assert SCHEME.parse(earlier) < SCHEME.parse(later)
    assert not SCHEME.parse(later) <= SCHEME.parse(earlier)


def test_sorting_as_text_would_give_another_order():
    assert sorted(IN_ORDER) != IN_ORDER
    assert sorted(sorted(IN_ORDER), key=lambda text: SCHEME.parse(text).place) == IN_ORDER


@pytest.mark.parametrize("spelling", ["ta010", " TA 010 ", "ta-010", "T.A/0-1-0"])
def test_spelling_does_not_matter_and_the_number_is_printed_in_the_schemes_form(spelling):
    serial = SCHEME.parse(spelling)
    assert (serial.prefix, serial.number, str(serial)) == ("TA", 10, "TA010")


def test_a_prefix_may_end_in_a_figure():
    serial = SCHEME.parse("t4-010")
    assert (serial.prefix, serial.number) == ("T4", 10)


@pytest.mark.parametrize("wrong", ["TA10", "TA0010", "TC010", "010", "TA01O", "TA", "TA\u0661\u0661\u0661"])
def test_a_number_that_does_not_follow_the_scheme_is_refused(wrong):
    with pytest.raises(Refused, match=r"does not follow the scheme TX.*TA or TB or T4.*3 figures.*TA120"):
        SCHEME.parse(wrong)
    assert SCHEME.place(wrong) is None


@pytest.mark.parametrize("empty", ["", "  "])
def test_an_empty_number_is_refused(empty):
    with pytest.raises(Refused, match="serial number: it is empty"):
        SCHEME.parse(empty)


def test_a_scheme_without_letters_counts_figures_alone():
    assert str(PLAIN.parse("00-120")) == "00120"
    assert PLAIN.parse("00999") < PLAIN.parse("01000")
    with pytest.raises(Refused, match="give 5 figures, leading zeros included, such as 00120"):
        PLAIN.parse("120")


def test_a_scheme_may_allow_numbers_with_and_without_letters():
    scheme = SerialScheme("both", ("", "A"), 2)
    assert scheme.parse("99") < scheme.parse("A00")
    assert scheme.describe() == "A (or no letters) and then 2 figures, leading zeros included"


@pytest.mark.parametrize(("prefixes", "digits"), [(("A",), 0), (("A",), -1), (("A",), 21), (("A", "-a"), 3)])
def test_a_scheme_that_cannot_tell_engines_apart_is_refused(prefixes, digits):
    with pytest.raises(Refused, match="serial scheme X"):
        SerialScheme("X", prefixes, digits)


def test_numbers_of_two_schemes_have_no_order():
    with pytest.raises(ValueError, match="two schemes"):
        assert SCHEME.parse("TA010") < PLAIN.parse("00010")


def test_a_range_left_open_ends_where_the_scheme_ends():
    assert SCHEME.span(None, None) == (0, 2999)
    assert SCHEME.span("", "TA009") == (0, 9)
    assert SCHEME.span("TB000", None) == (1000, 2999)


def test_a_range_that_cannot_be_read_has_no_span():
    assert SCHEME.span("nonsense", None) is None


@pytest.mark.parametrize(("start", "until"), [("TA010", "TA010"), ("TA999", "TB000"), (None, None)])
def test_a_range_is_accepted_when_its_start_is_not_after_its_end(start, until):
    SCHEME.check_range(start, until)  # raises if it is refused


def test_a_range_with_an_end_that_cannot_be_read_is_refused():
    with pytest.raises(Refused, match="'TA1' does not follow"):
        SCHEME.check_range("TA1", None)


def test_a_range_written_backwards_is_refused():
    with pytest.raises(Refused, match="backwards, from TB000 to TA999"):
        SCHEME.check_range("TB000", "TA999")


@given(st.integers(min_value=0, max_value=2999))
def test_every_place_prints_to_a_number_that_reads_back_to_that_place(place):
    text = f"{SCHEME.prefixes[place // 1000]}{place % 1000:03d}"
    assert str(SCHEME.parse(text)) == text
    assert SCHEME.place(text) == place
