"""Filters that never guess: what cannot be read, is unknown, empty or given twice is refused."""

from collections.abc import Iterator
from typing import Any

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import QuerySet
from django_filters.rest_framework import DjangoFilterBackend
from django_filters.rest_framework.filterset import FilterSet
from drf_spectacular.utils import extend_schema_field
from rest_framework.request import Request

from shop.api.fields import DECIMAL
from shop.api.problems import BadRequest
from shop.rules.errors import Fault, Refused


class DayFilter(django_filters.DateFilter):
    """A day, ISO 8601 only: 03/06/2014 is two different days on two sides of an ocean."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(input_formats=["%Y-%m-%d"], **kwargs)


@extend_schema_field(DECIMAL)
class DecimalFilter(django_filters.NumberFilter):
    """An exact number. One with more digits than the column holds is refused instead of rounded."""


class TruthField(forms.Field):
    def clean(self, value: Any) -> bool | None:
        if value in self.empty_values:
            return None
        if value not in ("true", "false"):
            raise ValidationError("'%(value)s' is neither true nor false", "truth", {"value": value})
        return bool(value == "true")


class TruthFilter(django_filters.BooleanFilter):
    """true or false. The usual widget takes any other word for "not asked"."""

    field_class = TruthField


class CodeField(forms.ModelChoiceField):
    def to_python(self, value: Any) -> Any:
        if value in self.empty_values:
            return None
        rows: Any = self.queryset
        row = None if "\x00" in value else rows.filter(**{str(self.to_field_name): value}).first()
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


def _digits(field: models.DecimalField) -> dict[str, int]:
    return {"max_digits": field.max_digits, "decimal_places": field.decimal_places}


class ApiFilterSet(FilterSet):
    """`not_filtered` names the model fields without a filter, each with its reason."""

    not_filtered: dict[str, str] = {}

    FILTER_DEFAULTS = {
        **FilterSet.FILTER_DEFAULTS,
        models.DateField: {"filter_class": DayFilter},
        models.DecimalField: {"filter_class": DecimalFilter, "extra": _digits},
        models.BooleanField: {"filter_class": TruthFilter},
    }


RIGHT = {
    forms.DateField: "give a day as YYYY-MM-DD, such as 2014-06-03",
    forms.DecimalField: "give a number with a decimal point, such as 12.5",
    TruthField: "give true or false",
    CodeField: "look the codes up in the list of their kind",
}


# A field of another app puts what would be right among the params of its error, as "right".
class Filters(DjangoFilterBackend):
    """Reads the query of a list. Works on the view's `filterset_class`; the view may take more parameters
    itself and names them in `own_parameters`."""

    def filter_queryset(self, request: Request, queryset: QuerySet, view: Any) -> QuerySet:
        filterset = self.get_filterset(request, queryset, view)
        names = set(filterset.filters) if filterset else set()
        own = getattr(view, "own_parameters", ())
        paging = getattr(view.paginator, "parameters", ())
        check_parameters(request, {*names, *own, *paging})
        if filterset is None:
            return queryset
        if not filterset.is_valid():
            raise BadRequest(_faults(filterset.form))
        try:
            return filterset.qs
        except Refused as error:
            raise BadRequest(error.faults) from error


def check_parameters(request: Request, known: set[str]) -> None:
    """Refuses a parameter that nobody would read: a misspelt filter would answer another question."""
    faults = []
    for name, values in request.query_params.lists():
        where = f"query parameter {name}"
        if name not in known:
            others = ", ".join(sorted(known)) or "no parameters"
            faults.append(Fault(where, "it is not known here", f"this address takes {others}"))
        elif len(values) > 1:
            faults.append(Fault(where, "it is given twice", "give it once"))
        elif not values[0].strip():
            faults.append(Fault(where, "it is empty", "give a value or leave it out"))
    if faults:
        raise BadRequest(faults)


def _faults(form: forms.Form) -> Iterator[Fault]:
    for name, errors in form.errors.as_data().items():
        field = form.fields.get(name)
        right = next(
            (text for kind, text in RIGHT.items() if isinstance(field, kind)), "give a value of its kind"
        )
        if isinstance(field, forms.ChoiceField) and not isinstance(field, CodeField):
            choices: Any = field.choices
            right = f"give one of {', '.join(str(key) for key, _ in choices if key)}"
        for error in errors:
            what = str(error.message % error.params if error.params else error.message)
            told = (error.params or {}).get("right", right)
            yield Fault(f"query parameter {name}", what.rstrip("."), told)
