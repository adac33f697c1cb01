"""Which old stock still serves, and what is still to come; reachability against networkx."""

from datetime import date

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.rules.replacement import Replacement, alike
from catalog.rules.replacement_later import still_to_come
from catalog.rules.still_serves import still_serves

TODAY = date(2026, 3, 1)


def row(old, new, both=True, since=None, choice=1, quantity=1):
    return Replacement(old, new, choice, quantity, both, since)


def parts(part, rows, groups=(), on=TODAY):
    return [(stock.part, stock.counts) for stock in still_serves(part, rows, groups, on)]


def test_a_one_way_replacement_leaves_no_old_stock_that_serves():
    assert parts("B", [row("A", "B", both=False)]) == []


def test_a_row_of_a_set_leaves_none_either():
    assert parts("B", [row("A", "B"), row("A", "C", both=False)]) == []


def test_what_serves_alike_with_one_serves_alike_with_all():
    rows = [row("A", "B"), row("B", "C")]
    assert parts("C", rows, [{"A", "K"}, {"X", "Y"}]) == [("B", True), ("A", True), ("K", True)]


@pytest.mark.parametrize(
    ("since", "counts"),
    [(date(2026, 2, 28), True), (date(2026, 3, 1), True), (date(2026, 3, 2), False)],
)
def test_a_link_counts_from_its_day_on(since, counts):
    (stock,) = still_serves("B", [row("A", "B", since=since)], [], TODAY)
    assert stock.counts is counts
    assert stock.not_before == (None if counts else since)


def test_a_way_that_counts_goes_before_a_shorter_one_that_does_not_yet():
    rows = [row("A", "C", since=date(2030, 1, 1), choice=2), row("A", "B"), row("B", "C")]
    assert parts("C", rows) == [("B", True), ("A", True)]


def test_of_several_ways_still_to_come_the_soonest_counts():
    rows = [row("A", "B", since=date(2030, 1, 1)), row("B", "C", since=date(2028, 1, 1)),
            row("A", "C", since=date(2031, 1, 1), choice=2)]  # fmt: skip
    assert [(s.part, s.not_before) for s in still_serves("C", rows, [], TODAY)] == [
        ("B", date(2028, 1, 1)),
        ("A", date(2030, 1, 1)),
    ]


def test_the_ground_is_told_with_the_numbers_shown_to_people():
    rows = [row("1", "2", since=date(2020, 5, 4))]
    (near, far) = still_serves("2", rows, [["1", "3"]], TODAY)
    names = {"1": "Orlin GX-1", "2": "Orlin GX-2", "3": "Teal T-3"}
    assert near.text(names) == "Orlin GX-1 serves alike with Orlin GX-2 (both ways since 4 May 2020)"
    assert far.text(names).endswith("; Teal T-3 serves alike with Orlin GX-1 (interchange)")


NAMES = "ABCDEF"
DAYS = [None, date(2020, 1, 1), date(2030, 1, 1), date(2031, 1, 1)]
pairs = st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)).filter(lambda pair: pair[0] != pair[1])
rows = st.lists(
    st.tuples(pairs, st.booleans(), st.sampled_from(DAYS)).map(
        lambda drawn: row(*drawn[0], both=drawn[1], since=drawn[2], choice=NAMES.index(drawn[0][1]))
    ),
    max_size=9,
    unique_by=lambda one: (one.old, one.new),
)
groups = st.lists(st.sets(st.sampled_from(NAMES), min_size=2, max_size=3), max_size=2)


def reached(part, some_rows, some_groups, on):
    graph = networkx.Graph()
    graph.add_nodes_from(NAMES)
    graph.add_edges_from(
        (r.old, r.new) for r in some_rows if r.both_ways and (r.valid_from is None or r.valid_from <= on)
    )
    for group in some_groups:
        graph.add_edges_from((one, other) for one in group for other in group if one != other)
    return networkx.node_connected_component(graph, part) - {part}


@given(rows, groups, st.sampled_from(NAMES))
@settings(max_examples=200)
def test_what_serves_is_what_networkx_connects_on_that_day_or_will_on_the_day_told(
    some_rows, some_groups, part
):
    found = still_serves(part, some_rows, some_groups, TODAY)
    assert {stock.part for stock in found if stock.counts} == reached(part, some_rows, some_groups, TODAY)
    assert {stock.part for stock in found} == reached(part, some_rows, some_groups, date.max)
    for stock in found:
        assert stock.links[0].here == part
        assert stock.links[-1].there == stock.part
        day = stock.not_before
        if day is not None:
            before = date.fromordinal(day.toordinal() - 1)
            assert stock.part in reached(part, some_rows, some_groups, day)
            assert stock.part not in reached(part, some_rows, some_groups, before)
    if not some_groups:
        assert {part, *(s.part for s in found if s.counts)} == set(alike(part, some_rows, TODAY))


# --- still to come ------------------------------------------------------------------------------------


def test_a_replacement_announced_for_tomorrow_is_told_and_one_in_force_is_not():
    soon = row("A", "B", both=False, since=date(2026, 3, 2), quantity=2)
    (told,) = still_to_come("A", [soon, row("A", "C", both=False, since=TODAY, choice=2)], TODAY)
    assert told.text({"B": "Orlin GX-2"}) == "A is replaced by 2 x Orlin GX-2 from 2 March 2026, not before"
    assert still_to_come("A", [soon], date(2026, 3, 2)) == ()


def test_what_comes_sooner_is_told_first_and_what_serves_alike_is_called_so():
    announced = [
        row("A", "B", since=date(2031, 1, 1)),
        row("A", "C", both=False, since=date(2030, 1, 1), choice=2),
    ]
    assert [told.text() for told in still_to_come("A", announced, TODAY)] == [
        "A is replaced by C from 1 January 2030, not before",
        "A serves alike with B from 1 January 2031, not before",
    ]
