"""Whether what is still open matters: does every way it can turn out lead to the same answer?

Rules for serial numbers up to 499 and from 500 on together take in every engine. With the serial number
unknown neither rule is known to hold, yet the part fits, whichever it is. So every value of every open
fact is followed (the fact asked first, then the next), equal remainders of the question being answered
once. What comes out is a decision diagram without a superfluous question in it: where it is a single
answer the part fits, or does not, whatever is found out; else the questions in it are exactly the facts
on which the answer depends, and no smaller set of facts could settle it.

>>> from catalog.rules.open_case import Case, Literal, tried
>>> early, late = Case((Literal("serial", (0, 499)),), ()), Case((Literal("serial", (500, 999)),), ())
>>> decide(tried([early, late], {"serial": (0, 999)})).truth
Truth.TRUE
>>> nine_way = Literal("option:connector", "9-way")
>>> both = Case((Literal("serial", (500, 999)), nine_way), ())
>>> sorted(decide(tried([both, Case((nine_way,), ())], {"serial": (0, 999)})).slots)
['option:connector']

Source: R. E. Bryant, Graph-based algorithms for Boolean function manipulation (IEEE Transactions on
Computers C-35, 1986; cited from memory): a reduced diagram in a fixed order is unique, so nothing in it is
superfluous.
"""

from __future__ import annotations

from dataclasses import dataclass

from catalog.rules.kleene import Truth
from catalog.rules.open_case import Demand, Trial, Trials

MOST_STEPS = 20_000
MOST_SLOTS = 200
_NO, _YES = 0, 1


@dataclass(frozen=True, slots=True)
class Decision:
    """TRUE or FALSE where the answer is the same however the open facts turn out, else UNKNOWN, with the
    slots on which it depends."""

    truth: Truth
    slots: frozenset[str]


def decide(trials: Trials, most_steps: int = MOST_STEPS) -> Decision:
    """The answer common to every value of every slot, if there is one.

    Rules tangled beyond `most_steps` are told as open in all their slots: that is never wrong, only less
    than could be known.
    """
    if len(trials.cases) == 1 and not trials.cases[0][1]:
        return _chain(trials)
    if len(trials.fact) > MOST_SLOTS:
        return Decision(Truth.UNKNOWN, frozenset(trials.fact))
    diagram = _Diagram(trials, most_steps)
    try:
        root = diagram.node(trials.cases)
    except _TooTangled:
        return Decision(Truth.UNKNOWN, frozenset(trials.fact))
    if root in (_NO, _YES):
        return Decision(Truth.TRUE if root == _YES else Truth.FALSE, frozenset())
    return Decision(Truth.UNKNOWN, frozenset(slot for slot, _ in diagram.nodes))


def _chain(trials: Trials) -> Decision:
    """The usual case, one application with nothing against it: open in each condition that is open."""
    demands = trials.cases[0][0]
    if any(not accepted for _, accepted in demands):
        return Decision(Truth.FALSE, frozenset())
    slots = frozenset(slot for slot, accepted in demands if len(accepted) < trials.count[slot])
    return Decision(Truth.UNKNOWN if slots else Truth.TRUE, slots)


class _TooTangled(Exception):
    pass


class _Diagram:
    def __init__(self, trials: Trials, most_steps: int) -> None:
        self.count, self.left = trials.count, most_steps
        self.place = {slot: number for number, slot in enumerate(trials.fact)}
        # Every node made is reached from the last one made: it stands below it, or is it.
        self.nodes: dict[tuple[str, tuple[int, ...]], int] = {}
        self.known: dict[tuple[Trial, ...], int] = {}

    def node(self, cases: tuple[Trial, ...]) -> int:
        """The answer, or the number of the question to be asked next."""
        if not cases:
            return _NO  # nothing is left that could apply
        if ((), ()) in cases:
            return _YES  # something applies with nothing against it
        found = self.known.get(cases)
        if found is None:
            self.left -= 1
            if self.left < 0:
                raise _TooTangled
            slots = {slot for demands, bars in cases for part in (demands, *bars) for slot, _ in part}
            slot = min(slots, key=self.place.__getitem__)
            below = tuple(self.node(after(cases, slot, value)) for value in range(self.count[slot]))
            same = all(child == below[0] for child in below)
            found = below[0] if same else self.nodes.setdefault((slot, below), len(self.nodes) + 2)
            self.known[cases] = found
        return found


def after(cases: tuple[Trial, ...], slot: str, value: int) -> tuple[Trial, ...]:
    """The cases still open once the slot is found to have this value."""
    left: dict[Trial, None] = {}
    for demands, bars in cases:
        open_demands = _without(demands, slot, value)
        open_bars = [bar for bar in (_without(bar, slot, value) for bar in bars) if bar is not None]
        if open_demands is not None and () not in open_bars:
            left[open_demands, tuple(open_bars)] = None
    return tuple(left)


def _without(demands: tuple[Demand, ...], slot: str, value: int) -> tuple[Demand, ...] | None:
    """The demands left when the slot has this value; None when one of them fails."""
    if any(name == slot and value not in accepted for name, accepted in demands):
        return None
    return tuple(demand for demand in demands if demand[0] != slot)
