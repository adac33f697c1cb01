"""How likely a test is to come out bad, and how much it would tell.

Two faults are as likely as each other, and a test passes through one of them only: it comes out bad half the
time, and either way one question is settled, which is one bit. A test through both tells nothing: it is sure
to be bad.

>>> pump, hose = ComponentAt("pump", "engine"), ComponentAt("hose", "engine")
>>> half = [WeightedDiagnosis(frozenset({part}), Fraction(1, 2), 1) for part in (pump, hose)]
>>> groups = [Group(1, frozenset({pump, hose}), tuple(half), complete=True)]
>>> chance_of_bad(groups, frozenset({pump})), bits_told(chance_of_bad(groups, frozenset({pump})))
(Fraction(1, 2), Decimal('1.000000000'))
>>> chance_of_bad(groups, frozenset({pump, hose})), bits_told(Fraction(1)) == 0
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
from math import prod

from estimates.rules.evidence import ComponentAt, Group, WeightedDiagnosis
from shop.rules.rounding import round_half_up

__all__ = [
    "ComponentAt",
    "Group",
    "WeightedDiagnosis",
    "bits_told",
    "chance_of_bad",
    "entropy",
    "uncertainty",
]

PLACES = 9
# Enough digits that positions of equal worth tie exactly once rounded, whatever order they are summed in.
_WIDE = Context(prec=28)
_LN2 = _WIDE.ln(Decimal(2))


def chance_of_bad(groups: Sequence[Group], path: frozenset[ComponentAt]) -> Fraction:
    """How likely it is, 0 to 1, that a component of `path` is at fault."""
    good = (
        sum((d.weight for d in group.diagnoses if not d.components & path), start=Fraction(0))
        for group in groups
        if group.components & path
    )
    return 1 - prod(good, start=Fraction(1))


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
