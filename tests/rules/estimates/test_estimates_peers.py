"""Readings of one test point beside each other."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimates.rules.peers import modified_z, uneven, with_peers
from estimates.rules.reading import Expectation, Judgement, Measured, judge
from shop.rules.errors import Refused

D = Decimal

# B. Iglewicz, D. C. Hoaglin, "How to Detect and Handle Outliers" (1993): the ten values they print.
# Median 2.45, MAD 0.15. The scores to four places are computed from the formula.
VALUES = [D(v) for v in ["2.1", "2.6", "2.4", "2.5", "2.3", "2.1", "2.3", "2.6", "8.2", "8.3"]]
SCORES = [D(m) for m in ["-1.5738", "0.6745", "-0.2248", "0.2248", "-0.6745"]]
SCORES += [D(m) for m in ["-1.5738", "-0.6745", "0.6745", "25.8558", "26.3055"]]


def by_position(values):
    return {str(n): D(value) for n, value in enumerate(values, 1)}


def test_the_published_values_give_the_published_scores():
    for scored, expected in zip(modified_z(VALUES), SCORES, strict=True):
        assert abs(scored - expected) <= D("0.00005")


def test_of_the_published_values_the_last_two_are_uneven():
    assert set(uneven(by_position(VALUES))) == {"9", "10"}


# Five values with median 0 and MAD 1: M = 0.6745 x. 3.5 / 0.6745 = 5.18903...
@pytest.mark.parametrize(("value", "flagged"), [("5.189", False), ("5.1891", True), ("-5.1891", True)])
def test_below_and_above_the_score_of_three_and_a_half(value, flagged):
    assert ("5" in uneven(by_position(["-1", "0", "1", "0", value]) | {"6": D(-1), "7": D(1)})) == flagged


def test_exactly_three_and_a_half_is_not_uneven():
    # MAD 0.6745 makes the score equal the value: 3.5 exactly.
    values = by_position(["-0.6745", "0", "0.6745", "0", "3.5", "-0.6745", "0.6745"])
    assert modified_z(list(values.values()))[4] == D("3.5")
    assert uneven(values) == {}


def test_where_most_values_are_equal_the_score_of_the_others_is_undefined():
    # The source gives no score where the MAD is 0; ours is a stated policy.
    assert modified_z([D("0.6")] * 4 + [D("0.7")]) == (D(0),) * 4 + (None,)


def test_a_value_apart_from_equal_ones_is_uneven_when_no_resolution_is_known():
    reasons = uneven(by_position(["0.6"] * 4 + ["0.7"]))
    assert set(reasons) == {"5"}
    assert "agree exactly" in reasons["5"]


def test_one_count_apart_from_equal_values_is_not_uneven_when_the_resolution_is_known():
    assert uneven(by_position(["0.6"] * 4 + ["0.7"]), resolution=D("0.1")) == {}


def test_many_counts_apart_from_equal_values_is_uneven_when_the_resolution_is_known():
    assert set(uneven(by_position(["0.6"] * 4 + ["4.0"]), resolution=D("0.1"))) == {"5"}


def test_equal_values_are_even():
    assert uneven(by_position(["0.6"] * 8)) == {}


@pytest.mark.parametrize("values", [[], ["1"], ["1", "9"]])
def test_fewer_than_three_values_are_no_comparison(values):
    assert uneven(by_position(values)) == {}


def test_three_values_are_a_comparison():
    assert set(uneven(by_position(["1.0", "1.1", "9.0"]))) == {"3"}


def test_no_values_have_no_scores():
    assert modified_z([]) == ()


def test_a_negative_resolution_is_refused():
    with pytest.raises(Refused, match="negative"):
        modified_z([D(1)], spread_at_least=D(-1))


HEATER = Expectation("number", unit="Ohm", minimum=D("0.1"), maximum=D(5))


def judged(values):
    return {position: judge(Measured("number", value), HEATER) for position, value in values.items()}


def test_a_good_reading_that_is_uneven_becomes_unclear_and_says_why():
    after = with_peers(judged(by_position(["0.60", "0.62", "0.61", "0.63", "2.40"])))
    assert [after[p].outcome for p in "12345"] == ["good", "good", "good", "good", "unclear"]
    assert "the other positions" in after["5"].reason


def test_a_bad_reading_that_is_uneven_stays_bad():
    after = with_peers(judged(by_position(["0.60", "0.62", "0.61", "0.63", "9.00"])))
    assert after["5"].outcome == "bad"


def test_an_open_circuit_takes_no_part_in_the_comparison():
    readings = judged(by_position(["0.60", "0.62", "0.61"])) | {"4": judge(Measured("open"), HEATER)}
    assert with_peers(readings) == readings


outcomes = st.sampled_from(["good", "bad", "unclear"])
values = st.one_of(st.none(), st.decimals("0", "10", places=2))
judgements = st.builds(Judgement, outcomes, values, st.none(), st.just("because"))


@given(st.dictionaries(st.text("0123456789", min_size=1), judgements))
def test_peers_only_ever_turn_good_into_unclear(readings):
    for position, after in with_peers(readings).items():
        before = readings[position]
        assert after == before or (before.outcome, after.outcome) == ("good", "unclear")


numbers = st.lists(st.decimals("-100", "100", places=2), min_size=1, max_size=20)


@given(numbers, st.decimals("-50", "50", places=2))
def test_the_same_amount_added_to_all_values_changes_no_score(drawn, shift):
    assert modified_z([value + shift for value in drawn]) == modified_z(drawn)


@given(numbers)
def test_at_least_half_of_the_values_are_never_uneven(drawn):
    assert len(uneven(by_position(drawn))) <= len(drawn) / 2
