"""How likely a test is to come out bad, and how much it would tell.

Two faults are as likely as each other, and a test passes through one of them only: it comes out bad half the
time, and either way one question is settled, which is one bit. A test through both tells nothing: it is sure
to be bad.

>>> pump, hose = ComponentAt("pump", "engine"), ComponentAt("hose", "engine")
>>> half = [WeightedDiagnosis(frozenset({part}), Fraction(1, 2), 1) for part in (pump, hose)]
>>> odds = Odds([Group(1, frozenset({pump, hose}), tuple(half), complete=True)])
>>> odds.of_bad(frozenset({pump})), bits_told(odds.of_bad(frozenset({pump})))
(Fraction(1, 2), Decimal('1.000000000'))
>>> odds.of_bad(frozenset({pump, hose})), bits_told(Fraction(1)) == 0
(Fraction(1, 1), True)

A test is taken to be bad if a component in its path is at fault and good if none is. Its outcome then follows
from the faults, so on average it removes from the uncertainty exactly the entropy of its own outcome. Faults
that share no suspect are independent of each other.

Source: J. de Kleer, B. C. Williams, "Diagnosing Multiple Faults", Artificial Intelligence 32 (1987) 97-130:
measure where the expected entropy of the diagnoses is least. Where a list of diagnoses was cut short, the
chances compare the listed ones, as theirs compare the leading ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Context, Decimal
from fractions import Fraction
from math import lcm

from estimates.rules.evidence import ComponentAt, Group, WeightedDiagnosis
from shop.rules.rounding import round_half_up

__all__ = [
    "ComponentAt",
    "Group",
    "Odds",
    "WeightedDiagnosis",
    "bits_told",
    "entropy",
    "uncertainty",
]

PLACES = 9
# Enough digits that positions of equal worth tie exactly once rounded, whatever order they are summed in.
_WIDE = Context(prec=28)
_LN2 = _WIDE.ln(Decimal(2))


class Odds:
    """The weights of the diagnoses of each group in whole numbers, so that chances are quick to add up."""

    def __init__(self, groups: Sequence[Group]) -> None:
        self.groups = tuple(groups)
        self._weighed = []
        for group in groups:
            whole = lcm(*(d.weight.denominator for d in group.diagnoses))
            weights = [d.weight.numerator * (whole // d.weight.denominator) for d in group.diagnoses]
            sets = [d.components for d in group.diagnoses]
            self._weighed.append((group.components, list(zip(sets, weights, strict=True)), whole))

    def of_bad(self, path: frozenset[ComponentAt]) -> Fraction:
        """How likely it is, 0 to 1, that a component of `path` is at fault."""
        good, whole = 1, 1
        for components, weighed, total in self._weighed:
            if not components.isdisjoint(path):
                good *= sum(weight for at_fault, weight in weighed if at_fault.isdisjoint(path))
                whole *= total
        return 1 - Fraction(good, whole)

    def of_each(self) -> dict[ComponentAt, Fraction]:
        """By component of a diagnosis, the chance that it is at fault."""
        found: dict[ComponentAt, Fraction] = {}
        for _, weighed, whole in self._weighed:
            sums: dict[ComponentAt, int] = {}
            for at_fault, weight in weighed:
                for at in at_fault:
                    sums[at] = sums.get(at, 0) + weight
            found |= {at: Fraction(weight, whole) for at, weight in sums.items()}
        return found


def bits_told(chance: Fraction) -> Decimal:
    """The entropy that a test removes on average, in bits, when it comes out bad with this chance."""
    return entropy((chance, 1 - chance))


def uncertainty(groups: Iterable[Group]) -> Decimal:
    """The entropy of the diagnoses, in bits: 0 when there is one only, 1 between two of equal weight."""
    return sum((entropy(d.weight for d in group.diagnoses) for group in groups), start=Decimal(0))


def entropy(chances: Iterable[Fraction]) -> Decimal:
    """In bits, to nine decimals, of chances that sum to 1; one of 0 or 1 adds nothing."""
    total = Decimal(0)
    for chance in chances:
        if 0 < chance < 1:
            share = _WIDE.divide(Decimal(chance.numerator), Decimal(chance.denominator))
            total -= _WIDE.multiply(share, _WIDE.divide(_WIDE.ln(share), _LN2))
    return round_half_up(total, PLACES)
