"""The entries of a calculator as a form, built from its declaration; sent with GET, so it can be shared."""

from collections.abc import Iterable
from typing import Any

from django import forms

from catalog.rules.calculators.answer import Answer
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.parameter import Parameter
from shop.rules.errors import Refused
from shop.rules.units import alike, unit


class CalculatorForm(forms.Form):
    """Every field is plain text to Django: the calculator reads it, and refuses it in its own words."""

    def __init__(self, calculator: Calculator, data: Any) -> None:
        # What is left to its default is shown as it is used: a list would otherwise show its first choice.
        usual = {one.name: one.default for one in calculator.units}
        usual |= {one.name: one.default for one in calculator.parameters if one.choices}
        given = {name: str(data.get(name, "")) for name in calculator.names} if data is not None else {}
        super().__init__({name: given[name] or usual.get(name, "") for name in given} or None)
        self.calculator = calculator
        self.answer: Answer | None = None
        for parameter in calculator.parameters:
            self.fields[parameter.name] = _field(parameter)
        for choice in calculator.units:
            units = ((one.code, one.symbol) for one in alike(choice.default))
            self.fields[choice.name] = _select(choice.label, units, choice.default)

    @property
    def entries(self) -> list[forms.BoundField]:
        """The entries in order, each kind of plain number after the choice of its unit."""
        names: dict[str, None] = {}
        for one in self.calculator.parameters:
            names |= dict.fromkeys(filter(None, (one.unit_by, one.name)))
        return [self[name] for name in names]

    @property
    def shown_in(self) -> list[forms.BoundField]:
        """The choices of units for the results."""
        return [self[one.name] for one in self.calculator.units if one.shows]

    @property
    def other_units(self) -> bool:
        """Whether a unit other than the usual one is chosen or refused: then the choices are shown open."""
        return any(
            self.data.get(one.name, one.default) != one.default or one.name in self.errors
            for one in self.calculator.units
            if one.shows
        )

    def clean(self) -> dict[str, Any]:
        try:
            self.answer = self.calculator.answer(self.data)
        except Refused as refused:
            for fault in refused.faults:
                words = f"{fault.what}; {fault.right}"
                self.add_error(fault.where if fault.where in self.fields else None, words)
        return self.cleaned_data


def _field(parameter: Parameter) -> forms.Field:
    if parameter.choices:
        field = _select(parameter.label, parameter.choices, parameter.default)
    else:
        field = forms.CharField(label=parameter.label, required=False)
        numeric = parameter.unit is not None or parameter.whole
        field.widget.attrs = {"autocomplete": "off", "inputmode": "decimal" if numeric else "text"}
    field.help_text = _help(parameter)
    return field


def _select(label: str, choices: Iterable[tuple[str, str]], default: str) -> forms.Field:
    # A plain field with a list: what is not on the list is refused by the calculator, not twice.
    field = forms.CharField(label=label, required=False, initial=default)
    field.widget = forms.Select(choices=list(choices))
    return field


def _help(parameter: Parameter) -> str:
    symbol = unit(parameter.unit).symbol if parameter.unit and not parameter.unit_by else ""
    words = [f"in {symbol}" if symbol else "", parameter.help]
    return ", ".join(word for word in words if word)
