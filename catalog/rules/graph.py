"""What must come before what: the harness before the cover, the cover before the heater.

Each thing lists what it needs directly. From that list follow three answers a foreman asks for: what
all has to come off to reach this (the closure), in which order (needed things first, otherwise the
order written on the card), and whether the list contradicts itself (a cycle: A needs B, B needs A).

>>> needs = {"heater": ["cover"], "cover": ["harness", "intake pipe"]}
>>> sorted(closure("heater", needs))
['cover', 'harness', 'heater', 'intake pipe']
>>> order(["heater", "cover", "intake pipe", "harness"], needs)
('intake pipe', 'harness', 'cover', 'heater')
>>> find_cycle({"cover": ["pipe"], "pipe": ["cover"]})
('cover', 'pipe', 'cover')

In every function `edges` maps a name to the names it points at (needs); a name that is not a key
points at nothing. Source of the ordering: A. B. Kahn, Topological sorting of large networks,
Communications of the ACM 5 (1962), taking the earliest of the ready ones each time.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from shop.rules.errors import Refused


def find_cycle(edges: Mapping[str, Collection[str]]) -> tuple[str, ...] | None:
    """One cycle, walked along the edges and closed (first name = last name), or None if there is none."""
    # Sorted, because sets come in another order on every run and the message should not change with it.
    sorter = TopologicalSorter({node: sorted(set(edges[node])) for node in sorted(edges)})
    try:
        sorter.prepare()
    except CycleError as error:
        walked: list[str] = error.args[1]
        # graphlib walks from the needed to the one that needs it; our edges point the other way.
        return tuple(reversed(walked))
    return None


def closure(start: str | Iterable[str], edges: Mapping[str, Collection[str]]) -> frozenset[str]:
    """Everything that can be reached from `start` (one name or several), the start itself included."""
    waiting = [start] if isinstance(start, str) else list(start)
    reached = set(waiting)
    while waiting:
        for following in edges.get(waiting.pop(), ()):
            if following not in reached:
                reached.add(following)
                waiting.append(following)
    return frozenset(reached)


def order(nodes: Iterable[str], edges: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """The `nodes` with everything a node needs ahead of it, otherwise in the order given.

    Names that are needed but not among the nodes are left out of the answer, and still hold their
    place: if a needs b and b needs c, c comes before a even when b is not asked for. Each name comes
    once. Raises Refused, naming the cycle, when no order exists.
    """
    rank = {node: place for place, node in enumerate(dict.fromkeys(nodes))}
    everything = closure(rank, edges)
    needs_left = {node: set(edges.get(node, ())) for node in everything}
    needed_by: dict[str, list[str]] = {node: [] for node in everything}
    for node, needs in needs_left.items():
        for need in needs:
            needed_by[need].append(node)
    # A name that was not asked for takes no turn of its own (-1), so it never holds back one that was.
    ready = [(rank.get(node, -1), node) for node, needs in needs_left.items() if not needs]
    heapq.heapify(ready)
    done: list[str] = []
    finished = 0
    while ready:
        place, node = heapq.heappop(ready)
        finished += 1
        if place >= 0:
            done.append(node)
        for later in needed_by[node]:
            needs_left[later].discard(node)
            if not needs_left[later]:
                heapq.heappush(ready, (rank.get(later, -1), later))
    if finished < len(everything):
        cycle = find_cycle({node: needs for node, needs in needs_left.items() if needs}) or ()
        raise Refused.single(
            "order of steps",
            "each of these waits for the next: " + " -> ".join(cycle),
            "take one of these links out, so that one of them can come first",
        )
    return tuple(done)
