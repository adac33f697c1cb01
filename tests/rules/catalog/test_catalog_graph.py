"""Order, closure and cycles, against networkx (a general graph library) on random graphs."""

import itertools

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.graph import closure, find_cycle, order
from shop.rules.errors import Refused

NAMES = [f"n{number}" for number in range(7)]
edge_lists = st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)), max_size=14)


def as_edges(pairs):
    edges: dict[str, set[str]] = {}
    for node, need in pairs:
        edges.setdefault(node, set()).add(need)
    return edges


def as_networkx(pairs):
    graph = networkx.DiGraph(pairs)
    graph.add_nodes_from(NAMES)
    return graph


def without_cycles(pairs):
    """Point every edge from the higher number to the lower: such a graph cannot close a circle."""
    return [(max(pair), min(pair)) for pair in pairs if pair[0] != pair[1]]


# Worked by hand: h needs c; c needs w and p; w needs b. Depth first this is b w p c h.
HARNESS = {"h": ["c"], "c": ["w", "p"], "w": ["b"]}


def test_the_closure_holds_what_is_needed_and_what_that_needs():
    assert closure("h", HARNESS) == {"h", "c", "w", "p", "b"}


def test_the_closure_of_a_thing_that_needs_nothing_is_itself():
    assert closure("b", HARNESS) == {"b"}


def test_the_closure_of_several_is_the_closures_taken_together():
    assert closure(["w", "p"], HARNESS) == {"w", "b", "p"}


def test_one_name_of_several_letters_is_one_name():
    assert closure("cover", {"cover": ["pipe"]}) == {"cover", "pipe"}


def test_the_closure_of_nothing_is_nothing():
    assert closure([], HARNESS) == frozenset()


def test_needed_things_come_first_and_the_rest_keeps_its_order():
    assert order(["h", "c", "p", "w", "b"], HARNESS) == ("p", "b", "w", "c", "h")
    assert order(["b", "w", "p", "c", "h"], HARNESS) == ("b", "w", "p", "c", "h")


def test_a_link_through_a_thing_that_was_not_asked_for_still_counts():
    assert order(["h", "b"], HARNESS) == ("b", "h")


def test_a_thing_that_was_not_asked_for_does_not_change_the_order_of_the_rest():
    assert order(["a", "z"], {"a": ["hidden"]}) == ("a", "z")


def test_a_name_given_twice_comes_once():
    assert order(["p", "b", "p"], HARNESS) == ("p", "b")


def test_an_order_that_cannot_exist_is_refused_with_the_cycle_named():
    with pytest.raises(Refused, match="a -> b -> a"):
        order(["a"], {"a": ["b"], "b": ["a"]})


def test_a_cycle_is_walked_along_the_edges_and_closed():
    assert find_cycle({"a": ["b"], "b": ["c"], "c": ["b"]}) in [("b", "c", "b"), ("c", "b", "c")]


def test_a_thing_that_needs_itself_is_a_cycle():
    assert find_cycle({"a": ["a"]}) == ("a", "a")


def test_two_ways_to_one_thing_are_not_a_cycle():
    assert find_cycle({"a": ["b", "c"], "b": ["d"], "c": ["d"]}) is None


def test_a_chain_of_twenty_thousand_links_is_no_trouble():
    chain = {str(number): [str(number + 1)] for number in range(20_000)}
    assert find_cycle(chain) is None
    assert order(["0", "20000"], chain) == ("20000", "0")


@given(edge_lists)
def test_a_cycle_is_found_exactly_when_networkx_finds_the_graph_not_acyclic(pairs):
    cycle = find_cycle(as_edges(pairs))
    assert (cycle is None) == networkx.is_directed_acyclic_graph(as_networkx(pairs))


@given(edge_lists)
def test_every_cycle_named_is_one_that_can_be_walked(pairs):
    cycle = find_cycle(as_edges(pairs))
    if cycle is not None:
        assert cycle[0] == cycle[-1]
        assert len(set(cycle)) == len(cycle) - 1
        assert all(step in pairs for step in itertools.pairwise(cycle))


@given(edge_lists, st.sets(st.sampled_from(NAMES)))
def test_the_closure_is_the_start_and_its_descendants_in_networkx(pairs, start):
    graph = as_networkx(pairs)
    expected = set(start).union(*[networkx.descendants(graph, node) for node in start])
    assert closure(start, as_edges(pairs)) == expected


@given(edge_lists, st.permutations(NAMES))
def test_the_order_is_the_lexicographic_topological_order_of_networkx(pairs, nodes):
    pairs = without_cycles(pairs)
    prerequisites_first = as_networkx(pairs).reverse()
    expected = networkx.lexicographical_topological_sort(prerequisites_first, key=nodes.index)
    assert order(nodes, as_edges(pairs)) == tuple(expected)


@given(edge_lists, st.permutations(NAMES), st.integers(min_value=0, max_value=7))
def test_the_order_of_some_is_that_of_the_transitive_closure_cut_down_to_them(pairs, nodes, how_many):
    pairs, nodes = without_cycles(pairs), nodes[:how_many]
    between = networkx.transitive_closure(as_networkx(pairs)).subgraph(nodes).reverse()
    expected = networkx.lexicographical_topological_sort(between, key=nodes.index)
    assert order(nodes, as_edges(pairs)) == tuple(expected)


@given(edge_lists)
def test_an_order_is_refused_exactly_when_there_is_a_cycle(pairs):
    try:
        order(NAMES, as_edges(pairs))
    except Refused:
        assert not networkx.is_directed_acyclic_graph(as_networkx(pairs))
    else:
        assert networkx.is_directed_acyclic_graph(as_networkx(pairs))
