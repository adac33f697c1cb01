"""Values side by side, in words. The words are our own; that "higher" is said only where every value of one
is above every value of the other is plain arithmetic. No source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.comparing import Stated, against, row_in_words


def of(text: str) -> Stated:
    """ "minimum nominal maximum", with a dash for what is not stated."""
    return Stated(*(None if one == "-" else Decimal(one) for one in text.split()))


@pytest.mark.parametrize(
    ("one", "words"),
    # Beside 10 to 20.
    [
        ("20.01 - 25", "higher"),
        ("20 - 25", "partly higher"),
        ("19.99 - 25", "partly higher"),
        ("5 - 9.99", "lower"),
        ("5 - 10", "partly lower"),
        ("5 - 10.01", "partly lower"),
        ("10 - 19.99", "narrower"),
        ("- 15 -", "narrower"),
        ("10.00 - 20.0", "same"),
        ("10 - 20.01", "wider"),
        ("9 - -", "wider"),
        ("10 - -", "wider"),
        ("11 - -", "partly higher"),
        ("- - 9", "lower"),
        ("- - 19", "partly lower"),
        ("- - 20", "wider"),
    ],
)
def test_a_value_is_told_beside_another_by_its_limits(one, words):
    assert against(of(one), of("10 - 20")) == words


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        ("10 15 20", "10 14 20", "same limits, higher nominal"),
        ("10 14 20", "10 15 20", "same limits, lower nominal"),
        ("10 - 20", "10 15 20", "same limits, nominal stated for one only"),
        ("- 5 -", "- 5.0 -", "same"),
    ],
)
def test_where_the_limits_agree_the_nominal_is_told(one, other, words):
    assert against(of(one), of(other)) == words


def test_texts_are_the_same_or_different():
    assert against(Stated(text="M10x1"), Stated(text="M10x1")) == "same"
    assert against(Stated(text="M10x1"), Stated(text="M12x1.25")) == "different"


@pytest.mark.parametrize(
    ("row", "word", "told"),
    [
        (["1 - 2", "1 - 2"], "same", ("", "same")),
        (["1 - 2", "3 - 4"], "differs", ("", "higher")),
        (["-", "1 - 2", "1 - 2"], "same, not stated for 1", ("not stated", "", "same")),
        (
            ["1 - 2", "-", "-", "0 - 3"],
            "differs, not stated for 2",
            ("", "not stated", "not stated", "wider"),
        ),
        (["-", "1 - 2"], "stated for one only", ("not stated", "")),
        (["1 - 2"], "", ("",)),
    ],
)
def test_a_row_says_whether_it_differs_and_what_is_not_stated(row, word, told):
    assert row_in_words([None if text == "-" else of(text) for text in row]) == (word, told)


numbers = st.decimals(-5, 5, places=0, allow_nan=False)
PAIRS = [("higher", "lower"), ("partly higher", "partly lower"), ("wider", "narrower")]
ONE_ONLY = "same limits, nominal stated for one only"
OPPOSITE = {**dict(PAIRS), **{back: there for there, back in PAIRS}, "same": "same", ONE_ONLY: ONE_ONLY}


@st.composite
def values(draw):
    low, high = sorted(draw(st.tuples(numbers, numbers)))
    return draw(
        st.sampled_from(
            [Stated(low, None, high), Stated(low, None, None), Stated(None, None, high), Stated(None, low)]
        )
    )


@given(values(), values())
def test_seen_from_the_other_side_the_words_turn_round(one, other):
    assert against(other, one) == OPPOSITE[against(one, other)]
