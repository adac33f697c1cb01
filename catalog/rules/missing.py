"""What to find out next: the fewest facts that settle whether the part fits, whatever they turn out to be.

If the rules ask for the serial number and the connector, and the build date would change nothing, the
counter should be told to look for those two and not for the date. The answer is the set of facts on which
it depends (module decision): knowing them always settles it, and without any one of them it can stay open.
There is only one such set, told in the order serial number, build date, the rest by name.

Applies-rule one asks for connector 9-way, applies-rule two for a serial from place 500 on and the
same connector; nothing is excluded. The connector alone settles it: either rule one applies, or none:

>>> nine_way = Literal("option:connector", "9-way")
>>> either = [Case((nine_way,), ()), Case((Literal("serial", (500, 999)), nine_way), ())]
>>> smallest(either, {"serial": (0, 999)})
('option:connector',)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from catalog.rules.decision import decide
from catalog.rules.open_case import Case, Literal, tried

__all__ = ["Case", "Literal", "in_order", "smallest"]

_ORDER = {"serial": 0, "built": 1}


def smallest(cases: Sequence[Case], domains: Mapping[str, tuple[int, int]]) -> tuple[str, ...]:
    """The facts to find out, in the order above; none where the answer no longer depends on any.
    `domains`: first and last value a fact with stretches can still have."""
    trials = tried(cases, domains)
    return in_order(trials.fact[slot] for slot in decide(trials).slots)


def in_order(facts: Iterable[str]) -> tuple[str, ...]:
    """Facts, each once, in the order in which they are asked for."""
    return tuple(sorted(set(facts), key=lambda fact: (_ORDER.get(fact, 2), fact)))
