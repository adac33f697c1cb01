"""How a filter's value is read: in the one form that the API's document states, and never made to fit."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from drf_spectacular.utils import extend_schema_field

from shop.api.fields import DECIMAL, DECIMAL_PATTERN

DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
WHOLE = re.compile(r"-?[0-9]+")
EXACT = re.compile(DECIMAL_PATTERN, re.ASCII)
# 64 bits: what both databases take for a whole number. A longer one is in no column.
LEAST, MOST = -(2**63), 2**63 - 1


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
        if not WHOLE.fullmatch(value) or len(value) > 20 or not LEAST <= int(value) <= MOST:
            raise _error("'%(value)s' is not a whole number", value)
        return int(value)


@extend_schema_field({"type": "integer", "minimum": LEAST, "maximum": MOST})
class WholeFilter(django_filters.Filter):
    """A whole number: 1.5 days are not cut to one."""

    field_class = WholeField


class DecimalField(forms.DecimalField):
    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        if value in self.empty_values:
            return None
        if not EXACT.fullmatch(value):
            raise _error("'%(value)s' is not a number", value)
        return Decimal(value)


@extend_schema_field(DECIMAL)
class DecimalFilter(django_filters.NumberFilter):
    """An exact number. One with more digits than the column holds is refused instead of rounded."""

    field_class = DecimalField

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


@extend_schema_field({"type": "string"})
class CodeFilter(django_filters.ModelChoiceFilter):
    """A row named by its natural key. An unknown code is refused: an empty list would read as "none"."""

    field_class = CodeField

    def __init__(self, model: type[models.Model], *, to: str = "code", **kwargs: Any) -> None:
        super().__init__(queryset=model._default_manager.all(), to_field_name=to, **kwargs)


# What would be right, by the kind of field. A field of another app puts it among its error's params: "right".
RIGHT: dict[type[forms.Field], str] = {
    DayField: "give a day as YYYY-MM-DD, such as 2014-06-03",
    WholeField: "give a whole number, such as 12",
    forms.DecimalField: "give a number with a decimal point, such as 12.5",
    TruthField: "give true or false",
    CodeField: "look the codes up in the list of their kind",
}
