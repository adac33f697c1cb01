"""Which components are at fault, given all the readings so far.

First every component in the path of a good reading is cleared. What is left of each bad reading's path
is a conflict: at least one of these is at fault. The diagnoses are the smallest sets of faults that
account for every conflict. In all of them: confirmed. In some: suspected. In none: cleared. Only
unclear readings, or none: untested.

>>> relay, harness, heater = (ComponentAt(part, "cylinder 3") for part in ("relay", "harness", "heater"))
>>> found = diagnose([
...     Evidence("r1", "bad", frozenset({relay, harness, heater}), "no current at cylinder 3"),
...     Evidence("r2", "good", frozenset({heater}), "resistance at cylinder 3"),
... ])
>>> for component, standing in sorted(found.standing.items()):
...     print(component, standing.outcome)
harness (cylinder 3) suspected
heater (cylinder 3) cleared
relay (cylinder 3) suspected

A bad reading whose whole path is cleared contradicts the good ones. It is reported with the readings
named and left out; nothing is confirmed on the word of a reading it disputes. Conflicts that share no
suspect are diagnosed in separate groups, so that faults on many cylinders do not multiply.

Within a group each suspect's share is its relative likelihood (1 if not given) over the sum of all
suspects'. A diagnosis weighs the product of its members' shares, scaled so that the group sums to 1:
single faults stand in the proportion of their likelihoods, and a further fault always costs.

Source: R. Reiter, "A Theory of Diagnosis from First Principles", Artificial Intelligence 32 (1987).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm, prod

from estimates.rules.evidence import (
    ComponentAt,
    Contradiction,
    Diagnosis,
    Evidence,
    Group,
    Standing,
    WeightedDiagnosis,
)
from estimates.rules.hitting import connected, minimal_hitting_sets
from estimates.rules.likeliest import likeliest
from estimates.rules.standings import Sifted, sift, standing
from shop.rules.errors import Refused

__all__ = [
    "ComponentAt",
    "Contradiction",
    "Diagnosis",
    "Evidence",
    "Group",
    "Standing",
    "WeightedDiagnosis",
    "diagnose",
    "minimal_hitting_sets",
]

LIKELIHOOD_RANGE = (Decimal("1E-9"), Decimal("1E+9"))


def diagnose(
    evidence: Iterable[Evidence],
    likelihood: Mapping[ComponentAt, Decimal] | None = None,
    *,
    limit: int = 50,
    called: Callable[[ComponentAt], str] = str,
) -> Diagnosis:
    """The standing of every component met, the weighted diagnoses by group, and the contradictions.

    `likelihood` is relative (how often does this fail beside the others), above 0, default 1. At most
    `limit` diagnoses are listed per group; standings never depend on that. `called` names a component in
    the reasons. Raises Refused for a key used twice or a likelihood out of range.
    """
    readings = list(evidence)
    likelihood = likelihood or {}
    _check(readings, likelihood)
    sifted = sift(readings)
    known = dict.fromkeys([*sifted.components, *likelihood])
    return Diagnosis(
        standing={component: standing(component, sifted, called) for component in known},
        groups=_groups(sifted, likelihood, limit),
        contradictions=sifted.contradictions,
    )


def _check(readings: Sequence[Evidence], likelihood: Mapping[ComponentAt, Decimal]) -> None:
    seen: set[str] = set()
    for reading in readings:
        if reading.key in seen:
            raise Refused.single(reading.text, f"the key '{reading.key}' is used twice", "give each its own")
        seen.add(reading.key)
    least, most = LIKELIHOOD_RANGE
    for component, value in likelihood.items():
        if not value.is_finite() or not least <= value <= most:
            raise Refused.single(
                str(component), f"{value} is no relative likelihood", f"give a number from {least} to {most}"
            )


def _groups(sifted: Sifted, likelihood: Mapping[ComponentAt, Decimal], limit: int) -> tuple[Group, ...]:
    apart = connected(sifted.family)
    # By the first component met, so that groups come in the order of the work.
    apart.sort(key=lambda family: min(mask & -mask for mask in family))
    return tuple(_group(number, family, sifted, likelihood, limit) for number, family in enumerate(apart, 1))


def _group(
    number: int,
    family: Sequence[int],
    sifted: Sifted,
    likelihood: Mapping[ComponentAt, Decimal],
    limit: int,
) -> Group:
    members = [n for n in range(len(sifted.components)) if any(mask >> n & 1 for mask in family)]
    fractions = {n: Fraction(likelihood.get(sifted.components[n], Decimal(1))) for n in members}
    # The search counts in whole numbers: the same proportions over a common denominator.
    scale = lcm(*(fraction.denominator for fraction in fractions.values()))
    counts = [int(fractions.get(n, Fraction(0)) * scale) for n in range(len(sifted.components))]
    total = sum(counts)
    found, complete = likeliest(family, counts, limit=limit)
    # A set's weight is the product of its members' shares, here over one denominator for all sets.
    most = max(mask.bit_count() for mask in found)
    weights = {
        mask: prod(counts[n] for n in members if mask >> n & 1) * total ** (most - mask.bit_count())
        for mask in found
    }
    whole = sum(weights.values())
    listed = sorted(found, key=lambda mask: (-weights[mask], mask.bit_count(), mask))
    return Group(
        number=number,
        components=frozenset(sifted.components[n] for n in members),
        diagnoses=tuple(
            WeightedDiagnosis(sifted.named(m), Fraction(weights[m], whole), number) for m in listed
        ),
        complete=complete,
    )
