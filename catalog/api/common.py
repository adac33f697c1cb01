"""Small pieces that several subjects of the catalogue's API share."""

from typing import Any

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import EMPTY_VALUES
from django.db import models
from django.db.models import QuerySet
from rest_framework import serializers

from catalog.rules.partnumber import normalise
from shop.api.filters import CodeFilter, TruthFilter
from shop.rules.errors import Refused


class CodeNameSerializer(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()


class PartRefSerializer(serializers.Serializer):
    """A part by its natural key, in the brand's own spelling."""

    brand = serializers.CharField(source="brand.code")
    number = serializers.CharField()


def code_of(source: str, **kwargs: Any) -> serializers.CharField:
    """The natural key of a related row, null where there is none."""
    return serializers.CharField(source=f"{source}.code", read_only=True, default=None, **kwargs)


class Contains(django_filters.CharFilter):
    """Text that holds these words, in capitals or small letters."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(lookup_expr="icontains", label="contains this text", **kwargs)


class Below:
    """For a filter whose path leads to rows below those listed: a row is found once, however many match."""

    field_name: str

    def filter(self, rows: QuerySet, value: Any) -> QuerySet:
        if not value:
            return rows
        found = rows.model._default_manager.filter(**{self.field_name: value})
        return rows.filter(pk__in=found.values("pk"))


class Within(Below, django_filters.CharFilter):
    """By the code of a row below, one that counts within an engine family only."""

    def __init__(self, path: str, what: str) -> None:
        super().__init__(field_name=path, label=what)


class WithinCode(Below, CodeFilter):
    """By a row of its own list that a row below names; an unknown code is refused."""

    def __init__(self, path: str, model: type[models.Model], what: str) -> None:
        super().__init__(model, field_name=path, label=what)


class Beside:
    """For a filter on a column of a short table that the rows name: the rows it leaves are looked at in their
    own order. Joined, that table could be the one to start from, and the whole list be sorted for a page."""

    field_name: str

    def filter(self, rows: QuerySet, value: Any) -> QuerySet:
        if value in EMPTY_VALUES:
            return rows
        relation, _, column = self.field_name.partition("__")
        named: Any = rows.model._meta.get_field(relation).related_model
        found = named._default_manager.filter(**{column: value})
        return rows.filter(**{f"{relation}__in": found.values("pk")}) if found.exists() else rows.none()


class BesideText(Beside, django_filters.CharFilter):
    pass


class BesideTruth(Beside, TruthFilter):
    pass


class PartNumberField(forms.CharField):
    def clean(self, value: Any) -> str:
        text = super().clean(value)
        try:
            return normalise(text) if text else text
        except Refused as error:
            fault = error.faults[0]
            raise ValidationError("%(what)s", "number", {"what": fault.what, "right": fault.right}) from error


class PartNumberFilter(django_filters.CharFilter):
    """A part number in any spelling; compares the normalised form."""

    field_class = PartNumberField

    def __init__(self, field_name: str = "normalised", **kwargs: Any) -> None:
        super().__init__(field_name=field_name, label="in any spelling", **kwargs)
