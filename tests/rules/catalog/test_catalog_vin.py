"""The check character of a 17-character VIN: 49 CFR 565.15(c) and published worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.vin import check_character, compact, model_years, warning

SAMPLE = "1G4AH59H?5G118341"  # 49 CFR 565, sample calculation: products sum 411, 411 mod 11 = 4


def with_check(vin, check):
    return vin.replace("?", check)


def test_the_regulations_own_sample_gives_4():
    assert check_character(SAMPLE) == "4"


def test_a_remainder_of_ten_is_written_x():
    # Published worked example (autocalculator.org, VIN check digit): sum 351, 351 mod 11 = 10.
    assert check_character("1M8GDM9A?KP042788") == "X"


def test_seventeen_ones_check_themselves():
    # By arithmetic on the weights of 565.15: they sum to 89, and 89 mod 11 = 1.
    assert check_character("1" * 17) == "1"
    assert warning("1" * 17) is None


def test_a_right_number_gets_no_warning_however_it_is_spaced():
    assert warning(with_check(SAMPLE, "4")) is None
    assert warning(" 1g4ah59h4-5g118341 ") is None


@pytest.mark.parametrize("check", "012356789X")
def test_any_other_check_character_is_a_warning_that_names_the_right_one(check):
    assert "gives 4" in str(warning(with_check(SAMPLE, check)))


def test_a_number_from_outside_north_america_is_warned_about_and_not_refused():
    # ISO 3779 leaves place 9 free (from memory); Z is no check character under 565.15.
    assert "other markets" in str(warning("ZZ9ZZZ1JZXW000001"))


@pytest.mark.parametrize("letter", "IOQ")
def test_the_letters_left_out_by_the_standard_are_warned_about(letter):
    assert str(warning(SAMPLE.replace("?", "4").replace("G", letter))).startswith(f"{letter} cannot stand")


@pytest.mark.parametrize("text", ["", "AB-123", "1" * 16, "1" * 18, "US-TBX00120D314"])
def test_a_number_of_another_length_is_recorded_without_a_word(text):
    assert warning(text) is None


@pytest.mark.parametrize("wrong", ["1" * 16, "1" * 18, "I" * 17])
def test_asking_for_the_check_character_of_something_else_is_an_error(wrong):
    with pytest.raises(ValueError, match=r"argument|no value"):
        check_character(wrong)


def test_compact_takes_out_spaces_and_dashes():
    assert compact(" 1g4a h59h4-5g118341\n") == "1G4AH59H45G118341"


# Table III of 565.15(c): the value each character stands for.
VALUES = {"A": 1, "B": 2, "C": 3, "D": 4, "E": 5, "F": 6, "G": 7, "H": 8, "J": 1, "K": 2, "L": 3, "M": 4}
VALUES |= {"N": 5, "P": 7, "R": 9, "S": 2, "T": 3, "U": 4, "V": 5, "W": 6, "X": 7, "Y": 8, "Z": 9}


@pytest.mark.parametrize(("letter", "value"), sorted(VALUES.items()))
def test_a_letter_weighs_as_much_as_its_figure(letter, value):
    # The last place has the weight 2, and 0 in every other place adds nothing.
    assert check_character("0" * 16 + letter) == "0123456789X"[2 * value % 11]


# Table IV of 565.15(c): the weight of each place; place 9 is the check character itself.
WEIGHTS = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2]


@pytest.mark.parametrize(("place", "weight"), list(enumerate(WEIGHTS)))
def test_a_figure_counts_with_the_weight_of_its_place(place, weight):
    vin = "0" * place + "1" + "0" * (16 - place)
    assert check_character(vin) == "0123456789X"[weight]


@given(st.text(alphabet="ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=17, max_size=17))
def test_putting_the_check_character_in_place_silences_the_warning(text):
    assert warning(text[:8] + check_character(text) + text[9:]) is None


def vin_with(seventh, tenth):
    return f"1A8AAA{seventh}A0{tenth}A000000"


@pytest.mark.parametrize(
    ("code", "year"),
    # A and its repetition: NHTSA's preamble to the 2008 rule. The other codes are from memory.
    list(zip("AHJNPTVY19", [1980, 1987, 1988, 1992, 1993, 1996, 1997, 2000, 2001, 2009], strict=True)),
)
def test_a_model_year_repeats_after_thirty_years(code, year):
    assert model_years(vin_with("A", code)) == (year, year + 30)


def test_place_7_tells_the_years_apart_for_a_light_vehicle_only():
    # 565.15(b) and NHTSA's preamble: a figure in place 7 up to 2009, a letter from 2010 on.
    assert model_years(vin_with("5", "A"), light_vehicle=True) == (1980,)
    assert model_years(vin_with("B", "A"), light_vehicle=True) == (2010,)
    assert model_years(vin_with("B", "A"), light_vehicle=False) == (1980, 2010)


@pytest.mark.parametrize("code", "IOQUZ0")
def test_a_character_that_stands_for_no_year_gives_none(code):
    assert model_years(vin_with("A", code)) == ()


def test_a_number_of_another_length_has_no_model_year():
    assert model_years("A" * 16) == ()
