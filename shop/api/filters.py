"""Filters that never guess: what cannot be read, is unknown, empty or given twice is refused."""

import unicodedata
from collections.abc import Collection, Iterator
from typing import Any
from urllib.parse import unquote_to_bytes

from django import forms
from django.db import models
from django.db.models import QuerySet
from django_filters.rest_framework import DjangoFilterBackend
from django_filters.rest_framework.filterset import FilterSet
from rest_framework.request import Request

from shop.api.filter_fields import (
    RIGHT,
    CodeField,
    CodeFilter,
    DayFilter,
    DecimalFilter,
    TruthFilter,
    WholeFilter,
)
from shop.api.members import PARAMETER as FIELDS
from shop.api.problems import BadRequest
from shop.rules.errors import Fault, Refused

__all__ = ["ApiFilterSet", "CodeFilter", "DayFilter", "DecimalFilter", "Filters", "TruthFilter",
           "check_parameters"]  # fmt: skip

# Errors of a value in the right form that the data does not know.
REFUSED = {"code", "number"}
LONGEST = 1000


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
        **{
            kind: {"filter_class": WholeFilter}
            for kind in (
                models.IntegerField,
                models.SmallIntegerField,
                models.PositiveIntegerField,
                models.PositiveSmallIntegerField,
            )
        },
    }


class Filters(DjangoFilterBackend):
    """Reads the query of a list. Works on the view's `filterset_class`; the view may take more parameters
    itself and names them in `own_parameters`."""

    def filter_queryset(self, request: Request, queryset: QuerySet, view: Any) -> QuerySet:
        filterset = self.get_filterset(request, queryset, view)
        names = set(filterset.filters) if filterset else set()
        own = getattr(view, "own_parameters", ())
        paging = getattr(view.paginator, "parameters", ())
        check_parameters(request, {*names, *own, *paging, FIELDS})
        if filterset is None:
            return queryset
        if not filterset.is_valid():
            codes = {error.code for errors in filterset.form.errors.as_data().values() for error in errors}
            raise BadRequest(_faults(filterset.form), "refused" if codes <= REFUSED else "not-understood")
        try:
            return filterset.qs
        except Refused as error:
            raise BadRequest(error.faults, "refused") from error


def check_parameters(request: Request, known: set[str], repeated: Collection[str] = ()) -> None:
    """Refuses a parameter that nobody would read: a misspelt filter would answer another question.

    Those in `repeated` may be given several times.
    """
    faults = []
    try:
        # Read leniently, a wrong byte would turn into another character, and the question into another one.
        unquote_to_bytes(request.META.get("QUERY_STRING", "")).decode("utf-8")
    except UnicodeDecodeError:
        faults.append(Fault("the query", "it is not UTF-8", "encode it as UTF-8 before escaping it with %"))
    for name, values in request.query_params.lists():
        where = f"query parameter {name:.40}"
        if name not in known:
            others = ", ".join(sorted(known)) or "no parameters"
            faults.append(Fault(where, "it is not known here", f"this address takes {others}"))
        elif len(values) > 1 and name not in repeated:
            faults.append(Fault(where, "it is given twice", "give it once"))
        elif not all(value.strip() for value in values):
            faults.append(Fault(where, "it is empty", "give a value or leave it out"))
        elif (longest := max(map(len, values))) > LONGEST:
            faults.append(Fault(where, f"it has {longest} characters", f"give at most {LONGEST}"))
        elif any(unicodedata.category(character) == "Cc" for value in values for character in value):
            faults.append(Fault(where, "it has a control character in it", "take it out"))
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
