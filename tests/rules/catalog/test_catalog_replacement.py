"""Replacements followed to the current parts: worked by hand, then against networkx and plain enumeration.

What "replaced by" and "serves alike" mean at a counter is common practice, no source; part
names are invented.
"""

import dataclasses
import itertools
from collections import Counter
from datetime import date

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.rules.replacement import Replacement, alike, check, current, find_cycle
from shop.rules.errors import Refused

TODAY = date(2024, 7, 1)


def one_way(old, new, choice=1, quantity=1, valid_from=None):
    return Replacement(old, new, choice, quantity, False, valid_from)


def both_ways(old, new, choice=1, valid_from=None):
    return Replacement(old, new, choice, 1, True, valid_from)


def parts(part, *rows, on=TODAY):
    return [dict(chain.parts) for chain in current(part, rows, on)]


# --- following rows -----------------------------------------------------------------------------------


def test_a_part_nothing_replaces_is_current_itself():
    (chain,) = current("A", [one_way("B", "C")], TODAY)
    assert (chain.parts, chain.steps, chain.text()) == ((("A", 1),), (), "")


def test_a_chain_is_followed_to_its_end():
    assert parts("A", one_way("A", "B"), one_way("B", "C")) == [{"C": 1}]


def test_rows_of_one_choice_are_needed_together():
    assert parts("A", one_way("A", "B"), one_way("A", "C", quantity=2)) == [{"B": 1, "C": 2}]


def test_another_choice_is_another_way_in_the_order_of_its_number():
    assert parts("A", one_way("A", "C", choice=2), one_way("A", "B", choice=1)) == [{"B": 1}, {"C": 1}]


def test_quantities_multiply_along_a_chain_and_add_up_where_two_lines_meet():
    rows = [
        one_way("A", "B", quantity=2),
        one_way("A", "C"),
        one_way("B", "D", quantity=3),
        one_way("C", "D"),
    ]
    assert parts("A", *rows) == [{"D": 7}]


def test_choices_further_down_multiply_the_ways():
    rows = [one_way("A", "B"), one_way("A", "C")]
    rows += [
        one_way("B", "B1"),
        one_way("B", "B2", choice=2),
        one_way("C", "C1"),
        one_way("C", "C2", choice=2),
    ]
    assert parts("A", *rows) == [
        {"B1": 1, "C1": 1},
        {"B1": 1, "C2": 1},
        {"B2": 1, "C1": 1},
        {"B2": 1, "C2": 1},
    ]


def test_two_ways_that_end_in_the_same_parts_are_told_once():
    rows = [one_way("A", "B"), one_way("A", "C", choice=2), one_way("B", "D"), one_way("C", "D")]
    (chain,) = current("A", rows, TODAY)
    assert chain.text() == "A was replaced by B; B was replaced by D"


# --- dates --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("on", "expected"),
    [(date(2024, 6, 30), "A"), (date(2024, 7, 1), "B"), (date(2024, 7, 2), "B")],
)
def test_a_replacement_counts_from_its_day_on(on, expected):
    assert parts("A", one_way("A", "B", valid_from=date(2024, 7, 1)), on=on) == [{expected: 1}]


def test_a_set_counts_only_when_all_of_it_does():
    rows = [one_way("A", "B"), one_way("A", "C", valid_from=date(2024, 7, 2))]
    assert parts("A", *rows, on=date(2024, 7, 1)) == [{"A": 1}]
    assert parts("A", *rows, on=date(2024, 7, 2)) == [{"B": 1, "C": 1}]


def test_a_row_that_runs_both_ways_counts_from_its_day_on_too():
    assert alike("A", [both_ways("A", "B", valid_from=date(2024, 7, 2))], TODAY) == ("A",)
    assert alike("A", [both_ways("A", "B", valid_from=TODAY)], TODAY) == ("A", "B")


# --- both ways ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("asked", ["A", "B"])
def test_of_two_parts_that_serve_alike_the_newer_comes_first_whichever_was_asked_for(asked):
    assert parts(asked, both_ways("A", "B")) == [{"B": 1}, {"A": 1}]


def test_serving_alike_carries_over():
    rows = [both_ways("A", "B"), both_ways("C", "B")]
    assert alike("A", rows, TODAY) == ("A", "B", "C")
    assert parts("A", *rows) == [{"B": 1}, {"A": 1}, {"C": 1}]


def test_what_replaced_an_equal_part_serves_too():
    assert parts("A", both_ways("A", "B"), one_way("B", "C")) == [{"C": 1}, {"A": 1}]
    assert parts("B", both_ways("A", "B"), one_way("A", "C", choice=2)) == [{"B": 1}, {"C": 1}]


def test_a_one_way_row_is_not_walked_back():
    assert parts("B", one_way("A", "B")) == [{"B": 1}]


def test_the_way_is_told_in_words_with_the_numbers_shown_to_people():
    rows = [both_ways("A", "B"), one_way("B", "C"), one_way("B", "D", quantity=2)]
    newer, itself = current("A", rows, TODAY)
    assert newer.text() == "A serves alike with B; B was replaced by C and 2 x D"
    assert (
        newer.text({"A": "GX-1", "D": "O-9"}) == "GX-1 serves alike with B; B was replaced by C and 2 x O-9"
    )
    assert itself.text() == ""


def test_a_row_walked_back_is_shown_turned_round():
    (_, older) = current("B", [both_ways("A", "B")], TODAY)
    assert older.text() == "B serves alike with A"


# --- circles ------------------------------------------------------------------------------------------


def test_a_pair_that_serves_alike_is_no_circle():
    assert find_cycle([both_ways("A", "B")]) is None
    assert find_cycle([both_ways("A", "B"), both_ways("B", "A")]) is None


def test_three_that_serve_alike_are_no_circle():
    assert find_cycle([both_ways("A", "B"), both_ways("B", "C"), both_ways("C", "A")]) is None


def test_two_one_way_rows_against_each_other_are_a_circle():
    assert find_cycle([one_way("A", "B"), one_way("B", "A")]) == ("A", "B", "A")


def test_a_circle_may_run_through_parts_that_serve_alike():
    rows = [one_way("A", "B"), both_ways("C", "B"), one_way("C", "D", choice=2), both_ways("D", "A")]
    assert find_cycle(rows) == ("A", "B", "C", "D", "A")


def test_a_part_replaced_by_one_that_serves_alike_is_a_circle():
    rows = [both_ways("A", "B"), both_ways("B", "C"), one_way("A", "C", choice=2)]
    assert find_cycle(rows) == ("A", "C", "B", "A")


def test_a_circle_is_one_whatever_its_dates():
    rows = [one_way("A", "B", valid_from=date(2010, 1, 1)), one_way("B", "A", valid_from=date(2030, 1, 1))]
    assert find_cycle(rows) == ("A", "B", "A")


def test_following_rows_that_run_in_a_circle_is_refused():
    with pytest.raises(Refused, match="run in a circle: B -> C -> B"):
        current("A", [one_way("A", "B"), one_way("B", "C"), one_way("C", "B")], TODAY)


def test_a_circle_elsewhere_does_not_matter_to_a_part_that_does_not_reach_it():
    assert parts("A", one_way("A", "B"), one_way("X", "Y"), one_way("Y", "X")) == [{"B": 1}]


def test_check_refuses_a_circle_and_a_set_that_runs_both_ways_and_tells_both():
    rows = [one_way("A", "B"), one_way("B", "A"), both_ways("C", "D"), one_way("C", "E")]
    with pytest.raises(Refused) as refusal:
        check(rows)
    assert [fault.what for fault in refusal.value.faults] == [
        "they run in a circle: A -> B -> A",
        "choice 1 needs D and E together, and yet runs both ways",
    ]


def test_check_accepts_a_list_that_ends():
    check([one_way("A", "B"), one_way("A", "C", choice=2), both_ways("B", "D"), one_way("A", "D", choice=2)])


def test_a_row_of_a_set_is_never_walked_back():
    rows = [both_ways("C", "D"), one_way("C", "E")]
    assert parts("C", *rows) == [{"D": 1, "E": 1}]
    assert parts("D", *rows) == [{"D": 1}]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (("A", "A", 1, 1, False, None), "replaced by itself"),
        (("A", "B", 1, 0, False, None), "0 is too few"),
        (("A", "B", 1, 2, True, None), "both ways, but 2 for 1"),
    ],
)
def test_a_row_that_is_no_replacement_is_refused(wrong, message):
    old, new, choice, quantity, both, valid_from = wrong
    with pytest.raises(Refused, match=message):
        Replacement(old, new, choice, quantity, both, valid_from)


# --- size ---------------------------------------------------------------------------------------------


def test_a_chain_of_five_thousand_replacements_is_followed():
    rows = [one_way(str(n), str(n + 1)) for n in range(5_000)]
    assert parts("0", *rows) == [{"5000": 1}]
    assert find_cycle(rows) is None


def ladder(rungs):
    """Each rung doubles the ways: R0 needs R0L and R1, R0L may be either of two."""
    for n in range(rungs):
        yield one_way(f"R{n}", f"R{n}L")
        yield one_way(f"R{n}", f"R{n + 1}")
        yield one_way(f"R{n}L", f"R{n}a")
        yield one_way(f"R{n}L", f"R{n}b", choice=2)


def test_up_to_two_hundred_ways_are_told_and_more_are_refused():
    assert len(current("R0", ladder(7), TODAY)) == 128
    with pytest.raises(Refused, match="more than 200 ways"):
        current("R0", ladder(8), TODAY)


# --- against networkx and enumeration -----------------------------------------------------------------

NAMES = "ABCDEFG"
pairs = st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)).filter(lambda pair: pair[0] != pair[1])
any_rows = st.lists(
    st.builds(
        lambda pair, choice, quantity, both: Replacement(
            pair[0], pair[1], choice, 1 if both else quantity, both, None
        ),
        pairs,
        st.integers(min_value=1, max_value=3),
        st.integers(min_value=1, max_value=3),
        st.booleans(),
    ),
    max_size=9,
    unique_by=lambda row: (row.old, row.new, row.choice),
)


def is_alone(row, rows):
    return sum((other.old, other.choice) == (row.old, row.choice) for other in rows) == 1


def as_networkx(rows):
    """Every step that can be taken; `one_way` lists those that cannot be taken back."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(NAMES)
    one_way_steps = []
    for row in rows:
        graph.add_edge(row.old, row.new)
        if row.both_ways and is_alone(row, rows):
            graph.add_edge(row.new, row.old)
        else:
            one_way_steps.append((row.old, row.new))
    return graph, one_way_steps


@given(any_rows)
@settings(max_examples=300, deadline=None)
def test_a_circle_is_found_exactly_when_a_one_way_step_lies_within_a_strong_component(rows):
    graph, one_way_steps = as_networkx(rows)
    component = {
        part: n for n, group in enumerate(networkx.strongly_connected_components(graph)) for part in group
    }
    expected = any(component[old] == component[new] for old, new in one_way_steps)
    circle = find_cycle(rows)
    assert (circle is not None) == expected
    if circle is not None:
        steps = list(itertools.pairwise(circle))
        assert circle[0] == circle[-1]
        assert all(graph.has_edge(*step) for step in steps)
        assert any(step in one_way_steps for step in steps)


@given(any_rows, st.sampled_from(NAMES))
@settings(max_examples=300, deadline=None)
def test_the_current_parts_are_those_networkx_reaches_that_no_one_way_row_replaces(rows, part):
    graph, one_way_steps = as_networkx(rows)
    reached = {part} | networkx.descendants(graph, part)
    if any(old in reached for old, _ in one_way_steps) and find_cycle(rows) is not None:
        return
    replaced = {old for old, _ in one_way_steps}
    told = {name for chain in current(part, rows, TODAY) for name, _ in chain.parts}
    assert told == reached - replaced


def enumerate_ways(part, rows):
    """Plain recursion over one-way rows only: a set of ways, each a frozen count of parts."""
    choices = sorted({row.choice for row in rows if row.old == part})
    if not choices:
        return {frozenset({(part, 1)})}
    ways = set()
    for choice in choices:
        together = [row for row in rows if (row.old, row.choice) == (part, choice)]
        for ends in itertools.product(*[enumerate_ways(row.new, rows) for row in together]):
            total: Counter[str] = Counter()
            for row, end in zip(together, ends, strict=True):
                for name, quantity in end:
                    total[name] += row.quantity * quantity
            ways.add(frozenset(total.items()))
    return ways


@given(any_rows, st.sampled_from(NAMES))
@settings(max_examples=200, deadline=None)
def test_the_ways_are_those_of_plain_enumeration(rows, part):
    # Pointing every row from the earlier name to the later leaves no circle.
    forward = {}
    for row in rows:
        old, new = sorted((row.old, row.new))
        forward[old, new, row.choice] = Replacement(old, new, row.choice, row.quantity, False, None)
    rows = list(forward.values())
    chains = current(part, rows, TODAY)
    assert [frozenset(chain.parts) for chain in chains] == list(
        dict.fromkeys(frozenset(c.parts) for c in chains)
    )
    assert {frozenset(chain.parts) for chain in chains} == enumerate_ways(part, rows)


dated = any_rows.flatmap(
    lambda rows: st.tuples(
        *(
            st.sampled_from([None, date(2020, 1, 1), TODAY, date(2030, 1, 1)]).map(
                lambda day, row=row: dataclasses.replace(row, valid_from=day)
            )
            for row in rows
        )
    )
)


@given(dated, st.sampled_from(NAMES))
@settings(max_examples=200, deadline=None)
def test_on_a_day_only_sets_that_count_as_a_whole_are_followed(rows, part):
    early = {(row.old, row.choice) for row in rows if row.valid_from and row.valid_from > TODAY}
    counting = [row for row in rows if (row.old, row.choice) not in early]
    graph, one_way_steps = as_networkx(counting)
    reached = {part} | networkx.descendants(graph, part)
    if find_cycle(counting) is not None:
        return
    told = {name for chain in current(part, rows, TODAY) for name, _ in chain.parts}
    assert told == reached - {old for old, _ in one_way_steps}
