"""How a filter's value is read: in the one form that the API's document states, and never made to fit."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from drf_spectacular.drainage import set_override

from shop.api.fields import DECIMAL, DECIMAL_PATTERN

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
WHOLE = re.compile(r"-?[0-9]+")


def _document(one: django_filters.Filter, schema: dict[str, Any], given: dict[str, Any]) -> None:
    """States a filter's schema for the OpenAPI document, and its label: a stated schema would go without."""
    words = {"description": given["label"]} if given.get("label") else {}
    set_override(one, "field", schema | words)


def _error(what: str, value: str, code: str = "invalid") -> ValidationError:
    return ValidationError(what, code, {"value": value if len(value) <= 40 else f"{value[:40]}..."})


class DayField(forms.Field):
    def to_python(self, value: Any) -> date | None:
        if value in self.empty_values:
            return None
        try:
            if DAY.fullmatch(value):
                return date.fromisoformat(value)
        except ValueError:
            pass
        raise _error("'%(value)s' is not a day", value)


class DayFilter(django_filters.DateFilter):
    """A day, ISO 8601 only: 03/06/2014 is two different days on two sides of an ocean."""

    field_class = DayField


class WholeField(forms.Field):
    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values:
            return None
        if not WHOLE.fullmatch(value):
            raise _error("'%(value)s' is not a whole number", value)
        return int(value)


class WholeFilter(django_filters.Filter):
    """A whole number: 1.5 days are not cut to one. One beyond what a column holds finds what it should."""

    field_class = WholeField

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        _document(self, {"type": "integer"}, kwargs)


class DecimalField(forms.DecimalField):
    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        if value in self.empty_values:
            return None
        if not re.fullmatch(DECIMAL_PATTERN, value):
            raise _error("'%(value)s' is not a number", value)
        if not re.fullmatch(digits_pattern(self.max_digits, self.decimal_places), value):
            whole, places = (self.max_digits or 0) - (self.decimal_places or 0), self.decimal_places
            raise _error(
                f"'%(value)s' has more than {whole} figures before the point or {places} behind", value
            )
        return Decimal(value)


def digits_pattern(max_digits: int | None, places: int | None) -> str:
    """A number that a column of so many digits holds as it is written."""
    if max_digits is None or places is None:
        return DECIMAL_PATTERN
    fraction = rf"(\.[0-9]{{1,{places}}})?" if places else ""
    return rf"^-?[0-9]{{1,{max_digits - places}}}{fraction}$"


class DecimalFilter(django_filters.NumberFilter):
    """An exact number. One with more digits than the column holds is refused instead of rounded."""

    field_class = DecimalField

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        pattern = digits_pattern(kwargs.get("max_digits"), kwargs.get("decimal_places"))
        _document(self, {**DECIMAL, "pattern": pattern}, kwargs)

    def get_max_validator(self) -> None:
        """None: the column's own digits are the limit."""


class TruthField(forms.Field):
    def clean(self, value: Any) -> bool | None:
        if value in self.empty_values:
            return None
        if value not in ("true", "false"):
            raise _error("'%(value)s' is neither true nor false", value)
        return bool(value == "true")


class TruthFilter(django_filters.BooleanFilter):
    """true or false. The usual widget takes any other word for "not asked"."""

    field_class = TruthField


class CodeField(forms.ModelChoiceField):
    def to_python(self, value: Any) -> Any:
        if value in self.empty_values:
            return None
        rows: Any = self.queryset
        row = rows.filter(**{str(self.to_field_name): value}).first()
        if row is None:
            name = rows.model._meta.verbose_name
            raise ValidationError("there is no %(name)s '%(value)s'", "code", {"name": name, "value": value})
        return row


class CodeFilter(django_filters.ModelChoiceFilter):
    """A row named by its natural key. An unknown code is refused: an empty list would read as "none"."""

    field_class = CodeField

    def __init__(self, model: type[models.Model], *, to: str = "code", **kwargs: Any) -> None:
        super().__init__(queryset=model._default_manager.all(), to_field_name=to, **kwargs)
        _document(self, {"type": "string"}, kwargs)


# What would be right, by the kind of field. A field of another app puts it among its error's params: "right".
RIGHT: dict[type[forms.Field], str] = {
    DayField: "give a day as YYYY-MM-DD, such as 2014-06-03",
    WholeField: "give a whole number, such as 12",
    forms.DecimalField: "give a number with a decimal point, such as 12.5",
    TruthField: "give true or false",
    CodeField: "look the codes up in the list of their kind",
}
