"""How one stated value stands beside another, in words.

Two heaters side by side: the first draws 12.6 to 18.5 A when switched on, the second 20 to 25 A, so the
second is "higher". Where the ranges share ground it is only "partly higher"; a range inside the other is
"narrower", one around it "wider". A limit on one side leaves the other side open. What is not stated is not
compared.

>>> from decimal import Decimal
>>> first = Stated(Decimal("12.6"), Decimal("15.0"), Decimal("18.5"))
>>> against(Stated(Decimal("20"), None, Decimal("25")), first)
'higher'
>>> against(Stated(Decimal("13"), None, Decimal("17")), first)
'narrower'
>>> against(Stated(Decimal("12.60"), Decimal("15"), Decimal("18.50")), first)
'same'
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

SAME = "same"


@dataclass(frozen=True, slots=True)
class Stated:
    """A value in one unit: minimum, nominal, maximum as far as stated, or a text."""

    minimum: Decimal | None = None
    nominal: Decimal | None = None
    maximum: Decimal | None = None
    text: str = ""

    @property
    def ends(self) -> tuple[Decimal, Decimal]:
        """From where to where; infinite on a side that no limit closes."""
        if self.minimum is None and self.maximum is None and self.nominal is not None:
            return self.nominal, self.nominal
        low = Decimal("-Infinity") if self.minimum is None else self.minimum
        high = Decimal("Infinity") if self.maximum is None else self.maximum
        return low, high


def against(one: Stated, other: Stated) -> str:
    """`one` as seen from `other`: "same", "different" (texts), "higher", "partly lower", "narrower", ...

    Both are values of one property, in one unit. Limits that agree while the nominals do not give "same
    limits, higher nominal" or its kin.
    """
    if one.text or other.text:
        return SAME if one.text == other.text else "different"
    (low, high), (low_there, high_there) = one.ends, other.ends
    if (low, high) == (low_there, high_there):
        return _by_nominal(one.nominal, other.nominal)
    if low > high_there:
        return "higher"
    if high < low_there:
        return "lower"
    if low >= low_there and high <= high_there:
        return "narrower"
    if low <= low_there and high >= high_there:
        return "wider"
    return "partly higher" if low > low_there else "partly lower"


def _by_nominal(nominal: Decimal | None, there: Decimal | None) -> str:
    if nominal == there:
        return SAME
    if nominal is None or there is None:
        return "same limits, nominal stated for one only"
    return f"same limits, {'higher' if nominal > there else 'lower'} nominal"


def row_in_words(values: Sequence[Stated | None]) -> tuple[str, tuple[str, ...]]:
    """For one property of several parts: the row in a word, and each value beside the first one stated.

    The word is "same" or "differs", or says that one alone states it; None is "not stated". The first value
    stated has "" beside it, for it is what the others are compared with.
    """
    stated = [index for index, value in enumerate(values) if value is not None]
    if not stated:
        raise ValueError("a row that nobody states is no row")
    first = values[stated[0]]
    told = []
    for index, value in enumerate(values):
        if value is None:
            told.append("not stated")
        elif index == stated[0] or first is None:
            told.append("")
        else:
            told.append(against(value, first))
    if len(stated) == 1:
        word = "stated for one only" if len(values) > 1 else ""
    else:
        word = SAME if all(told[index] == SAME for index in stated[1:]) else "differs"
    missing = len(values) - len(stated)
    if missing and len(stated) > 1:
        word += f", not stated for {missing}"
    return word, tuple(told)
