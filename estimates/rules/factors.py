"""What makes teardown slower on one machine: corroded bolts, a cramped engine room.

A person names the step, where, times how much, and why; the reason is printed. The step's minutes are
multiplied and rounded once, half up, so they stay whole. Without a place it holds wherever the step is done;
two factors on one step multiply.

>>> from catalog.cards import PositionCard
>>> bank = PositionCard("A", "bank", None)
>>> steps = {"cover@A": StepAt("cover@A", "Take off the rocker cover", bank, 25, frozenset(), (), ())}
>>> slower, found = slowed(steps, [FactorIn("cover", None, Decimal("1.5"), "bolts corroded")])
>>> slower["cover@A"].minutes, found[0].usual, found[0].reason
(38, 25, 'bolts corroded')
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from math import prod
from typing import Any

from catalog.service_cards import ServiceBook
from estimates.rules.entry import position_entry
from estimates.rules.intake import FactorIn
from estimates.rules.plan import SlowStep, StepAt
from estimates.rules.work import Factor, Step, with_factors
from shop.rules.entry import Faults, decimal_entry, keys_entry, text_entry

LEAST, MOST = Decimal(1), Decimal(10)
PLACES = 2


def slowed(
    steps: Mapping[str, StepAt], factors: Sequence[FactorIn]
) -> tuple[dict[str, StepAt], tuple[SlowStep, ...]]:
    """The steps with the minutes they take on this machine, and what was changed, in the order of `steps`."""
    on = {key: [one for one in factors if _names(one, step)] for key, step in steps.items()}
    named = [
        Factor(f"{number}", one.reason, one.by, frozenset(key for key in steps if one in on[key]))
        for number, one in enumerate(factors)
    ]
    plain = {key: Step(key, step.minutes, step.requires) for key, step in steps.items()}
    minutes = {key: step.minutes for key, step in with_factors(plain, named).steps.items()}
    found = tuple(
        SlowStep(
            step=on[key][0].step,
            name=step.name,
            place=step.place,
            by=prod((one.by for one in on[key]), start=Decimal(1)),
            usual=step.minutes,
            minutes=minutes[key],
            reason="; ".join(dict.fromkeys(one.reason for one in on[key])),
        )
        for key, step in steps.items()
        if on[key]
    )
    return {key: replace(step, minutes=minutes[key]) for key, step in steps.items()}, found


def _names(factor: FactorIn, step: StepAt) -> bool:
    code, _, place = step.key.partition("@")
    return code == factor.step and (factor.place is None or factor.place.code == place)


def factor_entry(raw: Any, where: str, book: ServiceBook, faults: Faults) -> FactorIn | None:
    """A factor as a person typed it; None with faults. Without a position it holds wherever the step is."""
    if not keys_entry(raw, where, ("step", "factor", "reason"), ("position",), faults):
        return None
    before = len(faults)
    card = book.steps.get(str(raw["step"]))
    if card is None:
        faults.near(f"{where}, step", "access step", str(raw["step"]), book.steps)
        return None
    place = None
    if raw.get("position") not in (None, ""):
        place = position_entry(raw["position"], f"{where}, position", book.family, card.scope, faults)
    by = decimal_entry(raw["factor"], f"{where}, factor", faults)
    if by is not None and not LEAST <= by <= MOST:
        faults.add(f"{where}, factor", f"{by} is out of range", f"give one from {LEAST} to {MOST}, like 1.5")
    elif by is not None and by % Decimal(1).scaleb(-PLACES):
        faults.add(f"{where}, factor", f"{by} has more than {PLACES} decimals", "give at most two, like 1.25")
    reason = text_entry(raw["reason"], f"{where}, reason", faults, longest=200, required=True)
    if len(faults) > before or by is None:
        return None
    return FactorIn(card.code, place, by, reason)
