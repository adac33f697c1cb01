"""The pieces of a job's time: steps of teardown, the work itself, and what makes either take longer.

>>> cover = Step("cover", 30, frozenset({"pipe"}))
>>> rust = Factor("corrosion", "seized with corrosion", Decimal("1.5"), frozenset({"cover"}))
>>> slower = with_factors({"cover": cover}, [rust])
>>> slower.steps["cover"].minutes, slower.notes
(45, {'cover': '30 to 45 minutes (seized with corrosion, x 1.5)'})

All times are whole minutes; a fraction of one is refused, because nobody could have measured it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import prod

from shop.rules.errors import Fault, Refused
from shop.rules.rounding import round_half_up


@dataclass(frozen=True, slots=True)
class Step:
    """A piece of teardown and refit that works share: minutes off and on, and the steps that come first."""

    key: str
    minutes: int
    requires: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        _whole_minutes(f"step '{self.key}'", self.minutes)


@dataclass(frozen=True, slots=True)
class Work:
    """A repair, or a test that was carried out: its own minutes, and the steps it needs."""

    key: str
    minutes: int
    steps: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        _whole_minutes(f"work '{self.key}'", self.minutes)


@dataclass(frozen=True, slots=True)
class Factor:
    """What makes named steps take longer on this one job: the reason in words, and times how much."""

    key: str
    reason: str
    by: Decimal
    steps: frozenset[str]

    def __post_init__(self) -> None:
        if not self.by.is_finite() or self.by <= 0:
            raise Refused.single(
                f"factor '{self.key}'", f"{self.by} is no multiple", "give one above 0, say 1.5"
            )


@dataclass(frozen=True, slots=True)
class Factored:
    """The steps with their minutes changed, and for the estimate a note on each change, by step key."""

    steps: Mapping[str, Step]
    notes: Mapping[str, str]


def with_factors(steps: Mapping[str, Step], factors: Sequence[Factor]) -> Factored:
    """Multiply the named steps; several factors on one step multiply, rounded once, half up to the minute.

    Refused where a factor names an unknown step.
    """
    unknown = [
        Fault(f"factor '{factor.key}'", f"nothing is known of step '{key}'", "name a step of this engine")
        for factor in factors
        for key in sorted(factor.steps - steps.keys())
    ]
    if unknown:
        raise Refused(unknown)
    changed, notes = dict(steps), {}
    for key, step in steps.items():
        on_it = [factor for factor in factors if key in factor.steps]
        if not on_it:
            continue
        by = prod((Fraction(factor.by) for factor in on_it), start=Fraction(1))
        minutes = int(round_half_up(step.minutes * by, 0))
        changed[key] = replace(step, minutes=minutes)
        why = ", ".join(f"{factor.reason}, x {factor.by}" for factor in on_it)
        notes[key] = f"{step.minutes} to {minutes} minutes ({why})"
    return Factored(changed, notes)


def _whole_minutes(where: str, minutes: int) -> None:
    if not isinstance(minutes, int) or isinstance(minutes, bool):
        raise Refused.single(where, f"{minutes!r} is not a number of whole minutes", "give whole minutes")
    if minutes < 0:
        raise Refused.single(where, f"{minutes} minutes is negative", "give zero or more")
