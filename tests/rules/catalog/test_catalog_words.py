"""Words of descriptions, by hand; and that the two forms of a text that look alike compare alike."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.words import LONGEST_WORD, MOST_WORDS, meets, wishes, words


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Glow-plug heater, 12V", ("glow", "plug", "heater", "12v")),
        ("Glühkerze ÉTANCHÉITÉ", ("gluhkerze", "etancheite")),
        ("Прокладка ΘΕΡΜΑΝΤΉΡΑΣ", ("прокладка", "θερμαντηρασ")),
        ("M10×1", ("m10", "x", "1")),
        ("plug plug PLUG", ("plug",)),
        ("\x00'\"%_*()&|!:-", ()),
        ("", ()),
    ],
)
def test_words_are_parted_folded_and_counted_once(text, found):
    assert words(text) == found


@pytest.mark.parametrize(("count", "kept"), [(11, 11), (12, 12), (13, 12)])
def test_no_more_than_twelve_words_are_asked_for(count, kept):
    assert MOST_WORDS == 12
    assert len(words(" ".join(f"w{n}" for n in range(count)))) == kept


def test_a_word_of_any_length_is_cut():
    assert words("x" * 10_000) == ("x" * LONGEST_WORD,)


@pytest.mark.parametrize(
    ("asked", "text", "how"),
    [
        ("12 V", "heater 12V", 2), ("12V", "heater 12 V", 2), ("M10x1", "thread M10 x 1", 2),
        ("M10 x 1", "thread M10x1", 2), ("heat", "heater", 1), ("heater", "heat", 0), ("12", "120 mm", 1),
        ("12 mm", "120 mm", 0),
    ],
)  # fmt: skip
def test_a_wish_is_met_in_full_by_a_beginning_or_not(asked, text, how):
    # Written together or apart is common practice, no source.
    have = frozenset(words(text))
    assert min(meets(have, wish) for wish in wishes(words(asked))) == how


@given(st.text(max_size=60))
def test_composed_and_decomposed_spellings_are_the_same_words(text):
    """Canonical equivalence: Unicode Standard Annex 15, forms C and D."""
    assert words(unicodedata.normalize("NFD", text)) == words(unicodedata.normalize("NFC", text))


@given(st.text(max_size=60))
def test_every_text_meets_the_wishes_of_its_own_words(text):
    own = words(text)
    assert all(meets(frozenset(own), wish) == 2 for wish in wishes(own))
