"""Specs: defined quantities with limits, unit, conditions and source, in the stored and the asked unit."""

from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers

from catalog.api.common import Contains, PartNumberFilter, PartRefSerializer, code_of
from catalog.models import Brand, EngineFamily, PartType, Property, Source, Spec
from shop.api.fields import PlainDecimalField, ReadSerializer, StatedField, decimal_text
from shop.api.filters import ApiFilterSet, CodeFilter
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


class SpecFilter(ApiFilterSet):
    property = CodeFilter(Property)
    part_type = CodeFilter(PartType)
    brand = CodeFilter(Brand, field_name="part__brand")
    number = PartNumberFilter("part__normalised")
    family = CodeFilter(EngineFamily)
    condition = Contains()
    text = Contains()
    source = CodeFilter(Source)

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


@extend_schema_view(list=extend_schema(parameters=[UNIT]))
class SpecView(ListView):
    """Specs of parts and of engine families. Filters on values are in the stored unit.

    `unit` needs `property` beside it, since only values of one property share a kind of unit. A spec that is
    not verified says so: check it against the maker's manual before working to it.
    """

    queryset = Spec.objects.select_related("property", "part_type", "part__brand", "family", "source")
    serializer_class = SpecSerializer
    filterset_class = SpecFilter
    page_key = ("part_type_id", "property_id", "nominal", "id")
    own_parameters = ("unit",)

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        self.wanted = self.request.query_params.get("unit")
        queryset = super().filter_queryset(queryset)
        if self.wanted:
            self._check_unit(self.wanted)
        return queryset

    def get_serializer_context(self) -> dict[str, Any]:
        return {**super().get_serializer_context(), "unit": getattr(self, "wanted", None)}

    def _check_unit(self, wanted: str) -> None:
        """The answer to a wrong unit is the same on every page, with rows on it or not."""
        code = self.request.query_params.get("property")
        if not code:
            raise BadRequest.single(
                "query parameter unit", "values of several properties share no unit", "give property as well"
            )
        stored = Property.objects.get(code=code).unit
        check_unit(stored, wanted, f"property {code}")


def check_unit(stored: str, wanted: str, what: str) -> None:
    if not stored:
        raise BadRequest.single("query parameter unit", f"{what} has no unit", "leave unit out")
    try:
        express(Decimal(1), stored, wanted)
    except Refused as error:
        faults = error.faults
        raise BadRequest(
            Fault("query parameter unit", fault.what, fault.right) for fault in faults
        ) from error
