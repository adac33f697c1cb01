"""Specs: defined quantities with limits, unit, conditions and source, in the stored and the asked unit."""

from decimal import Decimal
from typing import Any

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema_field
from rest_framework import serializers

from catalog.api.common import Contains, PartNumberFilter, PartRefSerializer, code_of
from catalog.models import Brand, EngineFamily, PartType, Property, Source, Spec
from catalog.spec_query import check_unit as check_unit_of
from catalog.spec_query import range_asked
from shop.api.fields import PlainDecimalField, ReadSerializer, StatedField, decimal_text
from shop.api.filters import ApiFilterSet, CodeFilter, DecimalFilter
from shop.api.problems import BadRequest
from shop.api.views import ListView, ReadView
from shop.rules.errors import Fault, Refused
from shop.rules.units import express, unit

UNIT = OpenApiParameter(
    "unit", str, description="also give the values in this unit (UCUM code) of the same kind"
)


class PropertySerializer(ReadSerializer):
    class Meta:
        model = Property
        fields = ["code", "name", "unit", "description"]


class PropertyFilter(ApiFilterSet):
    name = Contains()
    description = Contains()

    class Meta:
        model = Property
        fields = ["code", "name", "unit", "description"]


class PropertyView(ReadView):
    """Defined quantities, each in one unit (UCUM code), or texts where the unit is empty."""

    queryset = Property.objects.all()
    serializer_class = PropertySerializer
    filterset_class = PropertyFilter
    page_key = ("code",)
    orders = {"code": "code", "name": "name", "unit": "unit"}


class SourceSerializer(ReadSerializer):
    class Meta:
        model = Source
        fields = ["code", "title", "revision", "publisher", "dated"]


class SourceFilter(ApiFilterSet):
    title = Contains()
    publisher = Contains()

    class Meta:
        model = Source
        fields = {"code": ["exact"], "revision": ["exact"], "dated": ["exact", "gte", "lte"]}


class SourceView(ReadView):
    """The documents that values were taken from."""

    queryset = Source.objects.all()
    serializer_class = SourceSerializer
    filterset_class = SourceFilter
    page_key = ("code",)
    orders = {"code": "code", "title": "title", "dated": "dated"}


class AskedLimitsSerializer(serializers.Serializer):
    """The same limits in the unit asked for, with as many significant digits as are stored."""

    unit = serializers.CharField()
    minimum = PlainDecimalField(allow_null=True)
    maximum = PlainDecimalField(allow_null=True)


class AskedSerializer(AskedLimitsSerializer):
    """The same values in the unit asked for, with as many significant digits as are stored."""

    nominal = PlainDecimalField(allow_null=True)


def asked_values(row: Any, stored: str, wanted: str, names: tuple[str, ...]) -> dict[str, str | None]:
    """The named values of a row in another unit. Refused where the two do not measure the same."""
    values: dict[str, str | None] = {"unit": unit(wanted).code}
    for name in names:
        value = getattr(row, name)
        stated = None if value is None else Decimal(decimal_text(value, row.places))
        values[name] = None if stated is None else f"{express(stated, stored, wanted):f}"
    return values


class SpecSerializer(ReadSerializer):
    property = code_of("property")
    part_type = code_of("part_type")
    part = PartRefSerializer(allow_null=True)
    family = code_of("family", allow_null=True)
    unit = serializers.CharField(source="property.unit", help_text="UCUM code; empty for a text")
    minimum = StatedField(allow_null=True)
    nominal = StatedField(allow_null=True)
    maximum = StatedField(allow_null=True)
    asked = serializers.SerializerMethodField(help_text="null unless the query asks for a unit")
    temperature_min = PlainDecimalField(allow_null=True, help_text="degC")
    temperature_max = PlainDecimalField(allow_null=True, help_text="degC")
    source = code_of("source")  # type: ignore[assignment]
    source_title = serializers.CharField(source="source.title")
    source_revision = serializers.CharField(source="source.revision")

    class Meta:
        model = Spec
        fields = [
            "property", "part_type", "part", "family", "unit", "minimum", "nominal", "maximum", "asked",
            "text", "condition", "temperature_min", "temperature_max", "source", "source_title",
            "source_revision", "verified",
        ]  # fmt: skip

    @extend_schema_field(AskedSerializer(allow_null=True))
    def get_asked(self, spec: Spec) -> dict[str, str | None] | None:
        wanted = self.context.get("unit")
        if not wanted:
            return None
        return asked_values(spec, spec.property.unit, wanted, ("minimum", "nominal", "maximum"))


BOUND = {"max_digits": 30, "decimal_places": 15}


class SpecFilter(ApiFilterSet):
    property = CodeFilter(Property)
    part_type = CodeFilter(PartType)
    brand = CodeFilter(Brand, field_name="part__brand")
    number = PartNumberFilter("part__normalised")
    family = CodeFilter(EngineFamily)
    condition = Contains()
    text = Contains()
    source = CodeFilter(Source)
    unit = django_filters.CharFilter(
        method="read_together",
        label="the unit (UCUM code) of at_least and at_most, and to give the values in beside their own",
    )
    at_least = DecimalFilter(
        method="read_together", label="the stated value lies wholly at or above this, in `unit`", **BOUND
    )
    at_most = DecimalFilter(
        method="read_together", label="the stated value lies wholly at or below this, in `unit`", **BOUND
    )

    not_filtered = {"places": "says only how the values are written"}

    class Meta:
        model = Spec
        fields = {
            "minimum": ["exact", "gte", "lte"],
            "nominal": ["exact", "gte", "lte"],
            "maximum": ["exact", "gte", "lte"],
            "temperature_min": ["exact", "gte", "lte"],
            "temperature_max": ["exact", "gte", "lte"],
            "verified": ["exact"],
        }

    def read_together(self, queryset: QuerySet, name: str, value: Any) -> QuerySet:
        """Property, unit and bounds make sense only together: see filter_queryset."""
        return queryset

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        of, code, low, high = (
            self.form.cleaned_data[name] for name in ("property", "unit", "at_least", "at_most")
        )
        try:
            if code:
                check_unit_of(code, of)
            asked = range_asked(of, low, high, code)
        except Refused as error:
            raise BadRequest(
                [Fault(f"query parameter {fault.where}", fault.what, fault.right) for fault in error.faults],
                "refused",
            ) from error
        return super().filter_queryset(queryset).filter(asked)


class SpecView(ListView):
    """Specs of parts and of engine families, each in its stored unit and, with `unit`, in another one too.

    `at_least` and `at_most` ask for a range in any unit of the property's kind, both bounds within it: the
    value as stated lies wholly inside. A value with limits is judged by them and not by its nominal; one
    limit alone leaves the other side open, so "at most 5" is never above anything. The filters minimum,
    nominal and maximum look at one stated number each, in the stored unit. `unit`, `at_least` and `at_most`
    need `property` beside them, since only values of one property share a kind of unit. A spec that is not
    verified says so: check it against the maker's manual before working to it.
    """

    queryset = Spec.objects.select_related("property", "part_type", "part__brand", "family", "source")
    serializer_class = SpecSerializer
    filterset_class = SpecFilter
    page_key = ("part_type_id", "property_id", "nominal", "id")
    orders = {
        "property": "property__code", "part_type": "part_type__code", "family": "family__code",
        "brand": "part__brand__code", "number": "part__normalised", "minimum": "minimum",
        "nominal": "nominal", "maximum": "maximum", "source": "source__code",
    }  # fmt: skip
    order_within = ("property", "part_type", "family", "number")
    reads = {"asked": ("property",)}

    def get_serializer_context(self) -> dict[str, Any]:
        return {**super().get_serializer_context(), "unit": self.request.query_params.get("unit")}


def check_unit(stored: str, wanted: str, what: str) -> None:
    """BadRequest unless `wanted` measures what `stored` does; `what` has that unit, in words."""
    if not stored:
        raise BadRequest.refused("query parameter unit", f"{what} has no unit", "leave unit out")
    try:
        express(Decimal(1), stored, wanted)
    except Refused as error:
        faults = error.faults
        raise BadRequest(
            [Fault("query parameter unit", fault.what, fault.right) for fault in faults], "refused"
        ) from error
