"""The form behind every page of master data: what the rules refuse becomes an error beside its field."""

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from shop.models.fields import CURRENCY
from shop.rules.currency import minor_units
from shop.rules.errors import Refused

WORDS: dict[str, str] = {}
"""What a check constraint of the database demands, by its name; each app adds its own."""


def faults(refused: Refused) -> list[str]:
    return [f"{fault.what}; {fault.right}" for fault in refused.faults]


def written_places(*texts: str) -> int:
    """Decimal places as written, of the one with most: "0.60" has two, and so has ("0.60", "1.2")."""
    return max((len(text.strip().partition(".")[2]) for text in texts), default=0)


def without_padding(value: Decimal) -> Decimal:
    """Without the zeros its column adds; two places stay where an amount or a percentage has them."""
    places = -int(value.as_tuple().exponent)
    least = 2 if places == 4 else 0
    while places > least and value == value.quantize(Decimal(1).scaleb(1 - places)):
        places -= 1
    return value.quantize(Decimal(1).scaleb(-places))


class MasterForm(forms.ModelForm):
    checks: ClassVar[Mapping[str, Callable[[str], object]]] = {}
    """By field name, the rule that must accept a value that is not empty."""

    guard_refusal: ClassVar[str] = ""
    """Set by the admin on a second pass: what a database guard refused on the first."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, value in self.initial.items():
            if isinstance(value, Decimal):
                self.initial[name] = without_padding(value)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        for name, check in self._all_checks():
            value = self.cleaned_data.get(name)
            if value:
                try:
                    check(value)
                except Refused as refused:
                    self.add_error(name, faults(refused))
        if self.guard_refusal:
            raise ValidationError(f"Not saved: {self.guard_refusal}.")
        return cleaned

    def _all_checks(self) -> Iterator[tuple[str, Callable[[str], object]]]:
        yield from self.checks.items()
        for field in self._meta.model._meta.concrete_fields:
            if field.name in self.fields and CURRENCY in field.validators:
                yield field.name, minor_units

    def _post_clean(self) -> None:
        try:
            super()._post_clean()  # type: ignore[misc]
        except Refused as refused:  # raised by the model's own clean()
            if not self.errors:
                self.add_error(None, faults(refused))
        say_constraints(self)


def say_constraints(form: forms.BaseModelForm) -> None:
    """Replace 'Constraint “x” is violated.' by what the constraint demands."""
    known = {f"Constraint “{name}” is violated.": words for name, words in WORDS.items()}
    errors = form.errors.get(NON_FIELD_ERRORS)
    if errors is None:
        return
    for error in errors.as_data():
        for message in error.messages:
            if message in known:
                error.message, error.params = known[message], None
