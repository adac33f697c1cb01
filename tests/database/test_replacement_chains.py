"""Chains of replacements are followed by the database in one statement, however long they are.

Reachability is compared with networkx, a general graph library.
"""

from itertools import pairwise

import networkx
import pytest
from django.db import transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.models import Brand, Part, PartType, Replacement
from catalog.queries import replacements_from

PARTS = 8
LINKS = st.lists(
    st.tuples(st.integers(0, PARTS - 2), st.integers(1, PARTS - 1), st.booleans()).filter(
        lambda t: t[0] < t[1]
    ),
    unique_by=lambda link: link[:2],
    max_size=10,
)


def shelf(links):
    brand = Brand.objects.create(code="b", name="B")
    kind = PartType.objects.create(code="t", name="T")
    parts = [
        Part.objects.create(brand=brand, number=f"P{n}", part_type=kind, grade="original")
        for n in range(PARTS)
    ]
    for old, new, both in links:
        Replacement.objects.create(old=parts[old], new=parts[new], both_ways=both, choice=new)
    return parts


@pytest.mark.django_db
def test_a_chain_of_seven_takes_one_statement(django_assert_num_queries):
    parts = shelf([(n, n + 1, False) for n in range(PARTS - 1)])
    with django_assert_num_queries(1):
        found = replacements_from([parts[0].pk])
    assert [(rule.old, rule.new) for rule in found] == [
        (str(old.pk), str(new.pk)) for old, new in pairwise(parts)
    ]


@pytest.mark.django_db
def test_no_parts_have_no_replacements():
    assert replacements_from([]) == ()


def graph_of(links):
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(PARTS))
    for old, new, both in links:
        graph.add_edge(old, new)
        if both:
            graph.add_edge(new, old)
    return graph


def without_circles(links):
    """Those that may be written one after the other: what runs one way never leads back."""
    kept = []
    for link in links:
        wanted = [*kept, link]
        together = networkx.strongly_connected_components(graph_of(wanted))
        group = {part: number for number, parts in enumerate(together) for part in parts}
        if all(both or group[old] != group[new] for old, new, both in wanted):
            kept = wanted
    return kept


@pytest.mark.django_db
def test_what_is_found_is_what_a_graph_library_reaches():
    @settings(max_examples=60, deadline=None)
    @given(links=LINKS.map(without_circles), start=st.sets(st.integers(0, PARTS - 1), min_size=1, max_size=3))
    def example(links, start):
        with transaction.atomic():
            parts = shelf(links)
            graph = graph_of(links)
            reached = set(start).union(*(networkx.descendants(graph, one) for one in start))
            expected = {
                (str(parts[old].pk), str(parts[new].pk))
                for old, new, both in links
                if old in reached or (both and new in reached)
            }
            found = replacements_from([parts[one].pk for one in start])
            assert {(rule.old, rule.new) for rule in found} == expected
            transaction.set_rollback(True)

    example()
