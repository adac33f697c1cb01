"""What a calculator hands back: figures, a verdict in words, the formula with its numbers, and the source.

A bare number invites trust it has not earned. So the number comes with its range where the inputs have one,
with the arithmetic anyone can redo on paper, with who published the formula, and with the caution that goes
with the work.

>>> torque = Figure("torque", "Tightening torque", "N.m", Decimal("25.4801"), asked="[lbf_av].[ft_i]")
>>> torque.text(), torque.text("[lbf_av].[ft_i]")
('25.48 N·m', '18.79 lbf·ft')
>>> Figure("squeeze", "Squeeze", "%", Decimal("24.9"), Decimal("17.910"), Decimal("31.507"), digits=3).text()
'17.9 to 31.5 %, nominal 24.9 %'
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from catalog.rules.calculators.digits import SHOWN_DIGITS, shown, significant
from shop.rules.units import convert, unit


@dataclass(frozen=True, slots=True)
class Figure:
    """One result: in `unit` (UCUM, an SI unit) as worked, and to be told in `asked` as well.

    `nominal` is None where only limits can be said; `minimum` and `maximum` are None where there is no range.
    """

    name: str
    label: str
    unit: str
    nominal: Decimal | None
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    asked: str = ""
    digits: int = SHOWN_DIGITS

    def values(self, code: str = "") -> tuple[Decimal | None, Decimal | None, Decimal | None]:
        """Minimum, nominal and maximum in this unit (its own unless told), rounded for reading."""
        return tuple(self._told(value, code) for value in (self.minimum, self.nominal, self.maximum))  # type: ignore[return-value]

    def _told(self, value: Decimal | None, code: str) -> Decimal | None:
        if value is None:
            return None
        return significant(convert(value, self.unit, code or self.unit), self.digits)

    def text(self, code: str = "") -> str:
        """In words: "17.9 to 31.5 %, nominal 24.9 %"."""
        symbol = unit(code or self.unit).symbol
        least, middle, most = (
            None if value is None else f"{shown(value, self.digits)} {symbol}".strip()
            for value in self.values(code)
        )
        if least is None or most is None:
            return middle or "not known"
        span = least if least == most else f"{least.removesuffix(symbol).strip()} to {most}"
        return span if middle is None or least == most else f"{span}, nominal {middle}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a result means: `about` names a figure or the subject, `outcome` is short, `reason` says why."""

    about: str
    label: str
    outcome: str
    reason: str


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the arithmetic: the formula, and the same with the numbers put in."""

    formula: str
    numbers: str


@dataclass(frozen=True, slots=True)
class Source:
    """Where something comes from: the publication, or plainly that there is none, and what it gives."""

    title: str
    gives: str


NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Row:
    """One of several answers side by side: a key, a remark, and figures."""

    key: str
    remark: str
    figures: tuple[Figure, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """The whole of what is said. `rows` is empty for most calculators."""

    figures: tuple[Figure, ...]
    verdicts: tuple[Verdict, ...]
    steps: tuple[Step, ...]
    sources: tuple[Source, ...]
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
