"""A calculator as the pages and the API know it: its name, what it asks, what it answers, how.

Both faces take the same entries, as text, and show the same answer, so a figure on the screen is the figure
another program gets.

>>> doubling = Calculator(
...     "double", "Doubling", "Twice a length.",
...     (Parameter("length", "Length", "mm", most=Decimal(100), example="2"),), (), ("twice",),
...     lambda given: Answer((Figure("twice", "Twice", "mm", 2 * given.quantity("length")),), (), (), ()))
>>> doubling.answer({"length": "1 in"}).figures[0].text()
'50.8 mm'
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext

from catalog.rules.calculators.answer import Answer, Figure
from catalog.rules.calculators.digits import WORKING
from catalog.rules.calculators.entries import read
from catalog.rules.calculators.parameter import Given, Parameter, UnitChoice

__all__ = ["Answer", "Calculator", "Decimal", "Figure", "Given", "Parameter", "UnitChoice"]


@dataclass(frozen=True, slots=True)
class Calculator:
    """`code` is part of its addresses; `results` names all figures it can answer with, `row_results` those of
    its rows. The examples of the parameters together are a question that it answers; `unit_example` is a
    figure with a unit of its own."""

    code: str
    title: str
    purpose: str
    parameters: tuple[Parameter, ...]
    units: tuple[UnitChoice, ...]
    results: tuple[str, ...]
    work: Callable[[Given], Answer]
    unit_example: str = ""
    row_results: tuple[str, ...] = ()
    rows_title: str = ""
    row_name: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """Every entry it takes, in the order asked."""
        return (*(one.name for one in self.parameters), *(one.name for one in self.units))

    def answer(self, given: Mapping[str, str]) -> Answer:
        """Work it out from entries as text. Refused with every fault, `where` being the entry's name."""
        with localcontext(WORKING):
            return self.work(read(self.parameters, self.units, given))
