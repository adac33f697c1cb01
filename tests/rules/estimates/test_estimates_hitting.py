"""Minimal hitting sets: published examples, then every subset tried one by one."""

from fractions import Fraction
from itertools import chain, combinations
from math import prod

from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.hitting import minimal_hitting_sets, minimal_sets
from estimates.rules.likeliest import likeliest

# R. Reiter, "A Theory of Diagnosis from First Principles", Artificial Intelligence 32 (1987) 57-95: the
# collection whose hitting-set tree the paper draws.
REITER_CONFLICTS = ({2, 4, 5}, {1, 2, 3}, {1, 3, 5}, {2, 4, 6}, {2, 4}, {2, 3, 5}, {1, 6})
REITER_ANSWER = ({1, 2}, {1, 3, 4}, {1, 4, 5}, {2, 3, 6}, {2, 5, 6}, {3, 4, 6})

# Three multipliers and two adders. J. de Kleer, B. C. Williams, "Diagnosing Multiple Faults", Artificial
# Intelligence 32 (1987) 97-130; both lists as quoted in lectures on it (University of Edinburgh, Informatics,
# Knowledge Engineering: "General Diagnostic Engine").
POLYBOX_CONFLICTS = ({"A1", "M1", "M2"}, {"A1", "A2", "M1", "M3"})
POLYBOX_ANSWER = ({"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"})

conflicts_of_eight = st.lists(st.frozensets(st.integers(0, 7), min_size=1, max_size=5), max_size=7)
counts_of_eight = st.lists(st.integers(1, 9), min_size=8, max_size=8)


def as_sets(sets):
    return frozenset(frozenset(s) for s in sets)


def by_trying_every_subset(conflicts):
    """The definition taken at its word: hits every conflict, and no smaller part of it does."""
    elements = sorted(set(chain.from_iterable(conflicts)))
    hitting = [
        frozenset(chosen)
        for size in range(len(elements) + 1)
        for chosen in combinations(elements, size)
        if all(conflict.intersection(chosen) for conflict in conflicts)
    ]
    return frozenset(h for h in hitting if not any(other < h for other in hitting))


def masks(conflicts):
    return [sum(1 << element for element in conflict) for conflict in conflicts]


def test_reiters_collection_has_the_six_minimal_hitting_sets_of_the_paper():
    assert minimal_hitting_sets(as_sets(REITER_CONFLICTS)) == as_sets(REITER_ANSWER)


def test_the_polybox_has_two_single_and_two_double_diagnoses():
    assert minimal_hitting_sets(as_sets(POLYBOX_CONFLICTS)) == as_sets(POLYBOX_ANSWER)


def test_no_conflict_is_hit_by_choosing_nothing():
    assert minimal_hitting_sets([]) == frozenset({frozenset()})


def test_a_conflict_nothing_can_hit_leaves_no_hitting_set():
    assert minimal_hitting_sets([frozenset({"a"}), frozenset()]) == frozenset()


def test_conflicts_that_share_nothing_multiply():
    conflicts = [frozenset({(n, "a"), (n, "b")}) for n in range(3)]
    assert len(minimal_hitting_sets(conflicts)) == 2**3


@given(conflicts_of_eight)
def test_the_minimal_hitting_sets_are_those_found_by_trying_every_subset(conflicts):
    assert minimal_hitting_sets(conflicts) == by_trying_every_subset(conflicts)


@given(conflicts_of_eight)
def test_hitting_the_hitting_sets_gives_the_smallest_conflicts_back(conflicts):
    # C. Berge, Hypergraphs (1989), ch. 2: the transversals of the transversals are the smallest edges.
    smallest = frozenset(c for c in conflicts if not any(other < c for other in conflicts))
    assert minimal_hitting_sets(minimal_hitting_sets(conflicts)) == smallest


@given(conflicts_of_eight)
def test_only_the_smallest_conflicts_are_kept(conflicts):
    kept = minimal_sets(masks(conflicts))
    assert sorted(kept) == sorted(
        {mask for mask in masks(conflicts) if not any(o != mask and o & mask == o for o in masks(conflicts))}
    )


def weight_of(chosen, counts):
    total = sum(counts)
    return prod((Fraction(counts[element], total) for element in chosen), start=Fraction(1))


@given(conflicts_of_eight, counts_of_eight)
def test_the_likeliest_search_finds_every_hitting_set_once_and_the_likeliest_first(conflicts, counts):
    found, complete = likeliest(masks(conflicts), counts, limit=10_000)
    sets = [frozenset(n for n in range(8) if mask >> n & 1) for mask in found]
    assert complete
    assert len(sets) == len(set(sets))
    assert frozenset(sets) == by_trying_every_subset(conflicts)
    weights = [weight_of(s, counts) for s in sets]
    assert weights == sorted(weights, reverse=True)


@given(conflicts_of_eight, counts_of_eight, st.integers(1, 4))
def test_a_shortened_search_gives_the_likeliest_and_says_that_there_are_more(conflicts, counts, limit):
    found, complete = likeliest(masks(conflicts), counts, limit=limit)
    every = sorted((weight_of(s, counts) for s in by_trying_every_subset(conflicts)), reverse=True)
    shown = [weight_of([n for n in range(8) if mask >> n & 1], counts) for mask in found]
    assert shown == every[:limit]
    assert complete == (len(every) <= limit)


@settings(deadline=None)
@given(conflicts_of_eight, counts_of_eight)
def test_a_search_out_of_effort_still_gives_true_hitting_sets_and_says_it_is_not_complete(conflicts, counts):
    found, complete = likeliest(masks(conflicts), counts, limit=3, effort=2)
    every = by_trying_every_subset(conflicts)
    assert found
    assert {frozenset(n for n in range(8) if mask >> n & 1) for mask in found} <= every
    assert complete <= (len(found) == len(every))
