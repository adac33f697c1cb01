"""GTIN check figures: GS1's own worked examples, and python-stdnum (stdnum.ean) as a second opinion."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from catalog.rules.gtin import LENGTHS, check_digit, normalise
from shop.rules.errors import Refused

WORKED = [
    ("629104150021", "3"),  # GS1 Hong Kong, check digit page: the products sum to 57
    ("730001100001", "7"),  # GS1 Sweden, check digit page: 5 x 3 + 8 = 23
    ("9638507", "4"),  # GTIN-8: our own arithmetic, confirmed by python-stdnum below
    ("03600029145", "2"),  # GTIN-12: our own arithmetic, confirmed by python-stdnum below
    ("1061414100041", "5"),  # GTIN-14: our own arithmetic, confirmed by python-stdnum below
]


@pytest.mark.parametrize(("figures", "expected"), WORKED)
def test_the_check_figure_agrees_with_the_worked_example(figures, expected):
    assert check_digit(figures) == expected


@pytest.mark.parametrize(("figures", "check"), WORKED)
def test_a_right_number_is_stored_with_fourteen_figures(figures, check):
    stored = normalise(figures + check)
    assert len(stored) == 14
    assert int(stored) == int(figures + check)


def test_spaces_and_dashes_are_ignored():
    assert normalise(" 6-291041 500213 ") == normalise("6291041500213")


@pytest.mark.parametrize("check", "012456789")
def test_any_other_check_figure_is_refused_and_the_right_one_is_told(check):
    with pytest.raises(Refused, match="the last one is 3"):
        normalise("629104150021" + check)


@pytest.mark.parametrize("text", ["", "  ", "1234567", "123456789", "629104150021X", "\u0661" * 8, "0" * 15])
def test_another_length_or_other_marks_are_refused(text):
    with pytest.raises(Refused, match="8, 12, 13 or 14 figures"):
        normalise(text)


def test_a_check_figure_of_letters_is_refused():
    with pytest.raises(Refused, match="figures only"):
        check_digit("62910X")


any_number = st.sampled_from(LENGTHS).flatmap(
    lambda length: st.text(alphabet="0123456789", min_size=length, max_size=length)
)


@given(any_number)
def test_a_number_is_accepted_exactly_when_stdnum_accepts_it(number):
    try:
        normalise(number)
    except Refused:
        assert not ean.is_valid(number)
    else:
        assert ean.is_valid(number)


@given(any_number)
def test_the_check_figure_is_the_one_stdnum_computes(number):
    assert check_digit(number[:-1]) == ean.calc_check_digit(number[:-1])


@given(any_number, st.data())
def test_one_wrong_figure_is_always_caught(number, data):
    right = number[:-1] + check_digit(number[:-1])
    place = data.draw(st.integers(min_value=0, max_value=len(right) - 1))
    other = data.draw(st.sampled_from([figure for figure in "0123456789" if figure != right[place]]))
    with pytest.raises(Refused):
        normalise(right[:place] + other + right[place + 1 :])
