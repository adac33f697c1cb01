"""Kleene's strong tables: S. C. Kleene, Introduction to Metamathematics (1952), section 64, pp. 332-336.

The tables are typed in as printed there (rows: left operand t, u, f; columns: right operand t, u, f).
The conditional and the biconditional are not part of our module; they are put together from it here,
because a wrong entry in "not", "and" or "or" would show in them too.
"""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.kleene import Truth, all_of, any_of, known, negate

LETTER = {"t": Truth.TRUE, "u": Truth.UNKNOWN, "f": Truth.FALSE}
AND = ["tuf", "uuf", "fff"]
OR = ["ttt", "tuu", "tuf"]
IMPLIES = ["tuf", "tuu", "ttt"]
EQUIVALENT = ["tuf", "uuu", "fut"]
CELLS = [(row, column) for row in range(3) for column in range(3)]


def entry(table, row, column):
    return LETTER["tuf"[row]], LETTER["tuf"[column]], LETTER[table[row][column]]


@pytest.mark.parametrize(("row", "column"), CELLS)
def test_the_conjunction_agrees_with_the_strong_table(row, column):
    left, right, expected = entry(AND, row, column)
    assert all_of([left, right]) is expected


@pytest.mark.parametrize(("row", "column"), CELLS)
def test_the_disjunction_agrees_with_the_strong_table(row, column):
    left, right, expected = entry(OR, row, column)
    assert any_of([left, right]) is expected


@pytest.mark.parametrize(("row", "column"), CELLS)
def test_the_conditional_put_together_from_them_agrees_with_the_strong_table(row, column):
    left, right, expected = entry(IMPLIES, row, column)
    assert any_of([negate(left), right]) is expected


@pytest.mark.parametrize(("row", "column"), CELLS)
def test_the_biconditional_put_together_from_them_agrees_with_the_strong_table(row, column):
    left, right, expected = entry(EQUIVALENT, row, column)
    assert all_of([any_of([negate(left), right]), any_of([negate(right), left])]) is expected


def test_negation_agrees_with_the_strong_table():
    assert [negate(LETTER[letter]) for letter in "tuf"] == [LETTER[letter] for letter in "fut"]


def test_no_demands_are_met_and_no_alternatives_offer_nothing():
    assert all_of([]) is Truth.TRUE
    assert any_of([]) is Truth.FALSE


def test_a_settled_question_is_true_or_false():
    assert known(True) is Truth.TRUE
    assert known(False) is Truth.FALSE


@pytest.mark.parametrize("truth", list(Truth))
def test_no_value_may_be_used_as_a_yes_or_no(truth):
    with pytest.raises(TypeError, match="three values"):
        bool(truth)


@given(st.lists(st.sampled_from(list(Truth)), max_size=6))
def test_a_decided_answer_is_the_answer_of_every_way_to_fill_in_the_unknowns(truths):
    """Regularity in Kleene's sense (section 64): what is decided no longer depends on the unknown parts."""
    fillings = list(
        itertools.product(*[[t] if t is not Truth.UNKNOWN else [Truth.TRUE, Truth.FALSE] for t in truths])
    )
    for answer, two_valued in ((all_of, all), (any_of, any)):
        if answer(truths) is not Truth.UNKNOWN:
            assert {known(two_valued(t is Truth.TRUE for t in way)) for way in fillings} == {answer(truths)}


@given(st.lists(st.sampled_from(list(Truth)), max_size=6))
def test_de_morgan_holds_with_three_values_too(truths):
    assert negate(all_of(truths)) is any_of([negate(truth) for truth in truths])
