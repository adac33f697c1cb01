"""How long the work takes, with teardown that several repairs share counted once.

A rocker cover takes 30 minutes off and on, the intake pipe over it 12. The harness under the cover has 10
minutes of its own, the heaters of the bank 20. Both together take 12 + 30 + 10 + 20 = 72 minutes, not
52 + 62. The 42 minutes to get there are split equally between the two that need them:

>>> steps = {
...     "pipe": Step("pipe", 12),
...     "cover": Step("cover", 30, frozenset({"pipe"})),
... }
>>> harness = Work("harness", 10, frozenset({"cover"}))
>>> heaters = Work("heaters", 20, frozenset({"cover"}))
>>> total_minutes([harness, heaters], steps), shares([harness, heaters], steps)
(72, {'harness': 31, 'heaters': 41})

Not chosen, the heaters cost 20 minutes now, while the cover is off, and 62 later:

>>> now_minutes(heaters, [harness], steps), later_minutes(heaters, steps)
(20, 62)

A test that was carried out is a work like any other: pass it among the selected, and the cover it took
off is not charged again. Where the first position takes longer than each further one (first injector 40
minutes, further ones 25), the extra 15 is a step of its own that each of those works needs, and each
work has 25. A step is bound to one place, so two banks have two cover steps with two keys.

The equal split is the Shapley value of this cost game: S. C. Littlechild, G. Owen, "A Simple Expression
for the Shapley Value in a Special Case", Management Science 20 (1973). All times are whole minutes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from catalog.rules.graph import closure, order
from estimates.rules.work import Factor, Factored, Step, Work, with_factors
from shop.rules.errors import Fault, Refused
from shop.rules.remainder import largest_remainder
from shop.rules.rounding import round_half_up

__all__ = [
    "Factor",
    "Factored",
    "Step",
    "Work",
    "billed_hours",
    "exact_shares",
    "later_minutes",
    "needed",
    "now_minutes",
    "shares",
    "total_minutes",
    "with_factors",
]

MINUTES_PER_HOUR = 60


def needed(work: Work, steps: Mapping[str, Step]) -> frozenset[str]:
    """Every step this work needs, prerequisites included. Refused for an unknown step or a circle."""
    return _reached(work, steps, {key: step.requires for key, step in steps.items()})


def _reached(work: Work, steps: Mapping[str, Step], requires: Mapping[str, frozenset[str]]) -> frozenset[str]:
    reached = closure(work.steps, requires)
    unknown = sorted(reached - steps.keys())
    if unknown:
        faults = (
            Fault(f"work '{work.key}'", f"nothing is known of step '{key}'", "describe it") for key in unknown
        )
        raise Refused(faults)
    order(sorted(reached), requires)  # refuses a circle and names it
    return reached


def total_minutes(works: Sequence[Work], steps: Mapping[str, Step]) -> int:
    """Each work's own minutes, and each step that any of them needs once."""
    return sum(work.minutes for work in works) + sum(steps[key].minutes for key in _users(works, steps))


def exact_shares(works: Sequence[Work], steps: Mapping[str, Step]) -> dict[str, Fraction]:
    """Minutes per work key, exact: its own, and of each step an equal part among the works that need it."""
    minutes = {work.key: Fraction(work.minutes) for work in works}
    for key, users in _users(works, steps).items():
        for user in users:
            minutes[user] += Fraction(steps[key].minutes, len(users))
    return minutes


def shares(works: Sequence[Work], steps: Mapping[str, Step]) -> dict[str, int]:
    """The exact shares in whole minutes that sum to the total (largest remainder, ties to the earlier)."""
    exact = exact_shares(works, steps)
    whole = largest_remainder(total_minutes(works, steps), list(exact.values()))
    return dict(zip(exact, whole, strict=True))


def now_minutes(work: Work, selected: Sequence[Work], steps: Mapping[str, Step]) -> int:
    """What this work adds to the selected ones; if it is among them, what leaving it out would save."""
    others = [other for other in selected if other.key != work.key]
    return total_minutes([*others, work], steps) - total_minutes(others, steps)


def later_minutes(work: Work, steps: Mapping[str, Step]) -> int:
    """What this work takes alone, on another day."""
    return total_minutes([work], steps)


def billed_hours(minutes: int, increment: Decimal) -> Decimal:
    """Minutes as hours in the shop's increment (0.1 h is common), half up. Round once, on the total."""
    if minutes < 0:
        raise Refused.single("minutes", f"{minutes} is negative", "give zero or more")
    if not increment.is_finite() or increment <= 0:
        raise Refused.single("billing increment", f"{increment} h is no length of time", "say 0.1, say")
    units = Fraction(minutes, MINUTES_PER_HOUR) / Fraction(increment)
    return round_half_up(units, 0) * increment


def _users(works: Sequence[Work], steps: Mapping[str, Step]) -> dict[str, list[str]]:
    """The works (keys) that need each step (key). Refused where a work comes twice."""
    users: dict[str, list[str]] = {}
    seen: set[str] = set()
    requires = {key: step.requires for key, step in steps.items()}
    reached: dict[frozenset[str], frozenset[str]] = {}
    for work in works:
        if work.key in seen:
            raise Refused.single(f"work '{work.key}'", "it is selected twice", "select it once")
        seen.add(work.key)
        if work.steps not in reached:
            reached[work.steps] = _reached(work, steps, requires)
        for key in reached[work.steps]:
            users.setdefault(key, []).append(work.key)
    return users
