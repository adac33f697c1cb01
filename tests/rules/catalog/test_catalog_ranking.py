"""The order of what was found, and how a slip is told."""

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.nearnumber import one_slip_away
from catalog.rules.ranking import Hit, ranked, slip

ORDER = ("number", "supplier", "family", "prefix", "slip", "words")


def hit(found: str, label: str = "A", **more: object) -> Hit:
    return Hit("part", found, label, key=(("number", label),), **more)  # type: ignore[arg-type]


def test_the_order_is_number_supplier_family_beginning_slip_words_however_they_come():
    for some in permutations(ORDER):
        hits = [hit(found, f"part {found}") for found in some]
        assert [one.found for _, one in ranked(hits)] == list(ORDER)


def test_ties_share_a_rank_and_the_next_one_counts_on():
    hits = [hit("number", "B"), hit("number", "A"), hit("prefix", "C"), hit("prefix", "D"), hit("slip", "E")]
    assert [(rank, one.label) for rank, one in ranked(hits)] == [
        (1, "A"), (1, "B"), (3, "C"), (3, "D"), (5, "E"),
    ]  # fmt: skip


def test_a_part_found_twice_is_told_once_for_the_better_reason():
    ((rank, one),) = ranked([hit("words"), hit("supplier"), hit("prefix")])
    assert (rank, one.found) == (1, "supplier")


def test_by_words_the_fewest_left_over_come_first_and_types_before_parts():
    hits = [
        Hit("part", "words", "half", unmet=1, met=4),
        Hit("part", "words", "whole", unmet=0, met=2),
        Hit("part type", "words", "kind", unmet=0, met=2),
        Hit("part", "words", "fuller", unmet=0, met=4),
    ]
    assert [one.label for _, one in ranked(hits)] == ["kind", "fuller", "whole", "half"]


@pytest.mark.parametrize(
    ("asked", "other", "told"),
    [
        ("GX1O42", "GX1042", "one character differs: O is 0"),
        ("GX142", "GX1042", "one character more: 0"),
        ("GX10442", "GX1042", "one character less: 4"),
        ("X1", "X11", "one character more: 1"),
        ("XG1042", "GX1042", "two are swapped: X and G"),
        ("GX1024", "GX1042", "two are swapped: 2 and 4"),
    ],
)
def test_a_slip_is_told_so_that_it_can_be_checked_on_the_label(asked, other, told):
    assert slip(asked, other) == told


@given(st.text("AB12", min_size=2, max_size=5), st.data())
def test_every_slip_of_the_four_kinds_is_told(number, data):
    other = data.draw(st.sampled_from(sorted(one_slip_away(number))))
    assert slip(number, other).startswith(
        ("one character differs: ", "one character more: ", "one character less: ", "two are swapped: ")
    )
