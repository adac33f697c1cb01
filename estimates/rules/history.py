"""What the shop's own closed jobs say about how long a piece of work takes.

Minutes that were written down for one operation, test or piece of teardown are put together over closed
jobs: the middle one (median), how far they usually lie from it (MAD, the median of the distances from the
median, not scaled), and how many there are. One job that went badly moves neither much, as it would an
average. From as many times on as the shop wants to see, other minutes are proposed where the middle differs
from what is on record. Nothing is ever changed by this: a person decides.

A cover that is on record with 30 minutes took longer nearly every time:

>>> taken = earlier("cover", [38, 41, 36, 90, 40])
>>> taken.count, str(taken.median), str(taken.mad)
(5, '40', '2')
>>> propose(30, taken, fewest=5).minutes, propose(30, taken, fewest=6), propose(40, taken, fewest=5)
(40, None, None)

Median and MAD as in B. Iglewicz, D. C. Hoaglin, "How to Detect and Handle Outliers" (1993).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median

from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

FURTHER = "further:"
"""Before the code of an operation or test: its further positions, where they take fewer minutes."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """`count` times this took `median` minutes, half of them within `mad` of it; `least` to `most` in all."""

    code: str
    count: int
    median: Decimal
    mad: Decimal
    least: int
    most: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """Other `minutes` for what is on record with `stated`, and why."""

    code: str
    stated: int
    minutes: int
    reason: str


def earlier(code: str, minutes: Sequence[int]) -> Earlier:
    """Median, MAD and count of these whole minutes. Refused for none, or for negative ones."""
    if not minutes:
        raise Refused.single(f"history of {code}", "has no minutes in it", "close a job that has some")
    if min(minutes) < 0:
        raise Refused.single(f"history of {code}", f"{min(minutes)} minutes is negative", "give zero or more")
    exact = [Decimal(one) for one in minutes]
    middle = median(exact)
    return Earlier(
        code,
        len(minutes),
        _plain(middle),
        _plain(median(abs(one - middle) for one in exact)),
        min(minutes),
        max(minutes),
    )


def propose(stated: int, taken: Earlier, fewest: int) -> Proposal | None:
    """Other minutes, from `fewest` times on; None before, and where the middle agrees with what is stated."""
    minutes = int(round_half_up(taken.median, 0))
    if taken.count < fewest or minutes == stated:
        return None
    longer = "longer" if minutes > stated else "less"
    reason = (
        f"took {abs(minutes - stated)} min {longer} than stated: {taken.median} min in the middle of "
        f"{taken.count} times, half of them within {taken.mad} min of it"
    )
    return Proposal(taken.code, stated, minutes, reason)


def _plain(value: Decimal) -> Decimal:
    """Halves as 24.5, whole ones as 24; never in exponent form."""
    whole = value.to_integral_value()
    return whole if value == whole else value.normalize()
