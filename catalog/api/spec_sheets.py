"""The spec sheet of an engine family, as JSON and as CSV."""

from typing import Any

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.documents.sheet import sheet
from catalog.documents.sheet_csv import sheet_csv
from catalog.models import EngineFamily
from shop.api.fields import PlainDecimalField
from shop.api.filters import check_parameters
from shop.api.problems import BadRequest
from shop.api.views import Api

ALSO = OpenApiParameter(
    "also", str, enum=["customary"],
    description="give each value in the customary other unit too, such as lbf.ft beside N.m",
)  # fmt: skip


class AlsoSerializer(serializers.Serializer):
    """The same value in the customary other unit, with as many significant digits as are stated."""

    unit = serializers.CharField(help_text="UCUM code")
    symbol = serializers.CharField()
    minimum = PlainDecimalField(allow_null=True)
    nominal = PlainDecimalField(allow_null=True)
    maximum = PlainDecimalField(allow_null=True)
    figure = serializers.CharField()


class StatedSerializer(serializers.Serializer):
    """A value as its source states it. One that is not verified says so: check it against the manual."""

    property = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField(help_text="UCUM code; empty for a text")
    symbol = serializers.CharField()
    minimum = PlainDecimalField(allow_null=True)
    nominal = PlainDecimalField(allow_null=True)
    maximum = PlainDecimalField(allow_null=True)
    text = serializers.CharField()
    figure = serializers.CharField(help_text="in words and figures: 0.60 to 1.20 Ω")
    also = AlsoSerializer(allow_null=True)
    condition = serializers.CharField()
    temperature_min = PlainDecimalField(allow_null=True, help_text="degC")
    temperature_max = PlainDecimalField(allow_null=True, help_text="degC")
    temperature = serializers.CharField(help_text="the window in words")
    temperature_also = serializers.CharField(help_text="the window in degrees Fahrenheit, if asked for")
    source = serializers.CharField()  # type: ignore[assignment]
    source_title = serializers.CharField(help_text="with its revision")
    verified = serializers.BooleanField()
    standing = serializers.ChoiceField(["verified", "not verified"])


class TypeValuesSerializer(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()
    values = StatedSerializer(many=True)


class SheetSerialSchemeSerializer(serializers.Serializer):
    name = serializers.CharField()
    prefixes = serializers.ListField(child=serializers.CharField())
    digits = serializers.IntegerField()


class SheetFamilySerializer(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()
    maker = serializers.CharField()
    maker_name = serializers.CharField()
    description = serializers.CharField()
    layout = serializers.CharField()
    layout_words = serializers.CharField()
    cylinders = serializers.IntegerField()
    voltage = PlainDecimalField()
    numbering = serializers.CharField()
    numbering_words = serializers.CharField()
    serial_scheme = SheetSerialSchemeSerializer(allow_null=True)


class SheetSourceSerializer(serializers.Serializer):
    code = serializers.CharField()
    title = serializers.CharField()


class SpecSheetSerializer(serializers.Serializer):
    format = serializers.CharField()
    demonstration = serializers.CharField(help_text="empty, or what to print wherever the data is shown")
    caution = serializers.CharField(help_text="to be shown wherever the values are")
    family = SheetFamilySerializer()
    part_types = TypeValuesSerializer(many=True)
    values = serializers.IntegerField()
    not_verified = serializers.IntegerField()
    sources = SheetSourceSerializer(many=True)


class SheetCsvRenderer(BaseRenderer):
    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, *args: Any, **kwargs: Any) -> bytes:
        return sheet_csv(data).encode()


def also_asked(request: Request) -> bool:
    """Whether the query asks for the customary other unit. BadRequest for any other word."""
    word = request.query_params.get("also")
    if word not in (None, "customary"):
        raise BadRequest.single(
            "query parameter also", f"'{word}' is not known here", "give customary, or leave it out"
        )
    return word is not None


class SpecSheetView(Api):
    """Everything on record for an engine family as fitted: values by part type, with conditions and sources.

    As CSV (Accept: text/csv) it is one record for each value, each with the family, its source and its
    standing.
    """

    renderer_classes = (JSONRenderer, SheetCsvRenderer)

    @extend_schema(parameters=[ALSO], responses=SpecSheetSerializer)
    def get(self, request: Request, code: str) -> Response:
        check_parameters(request, {"also"})
        also = also_asked(request)
        if "\x00" in code:
            raise Http404
        try:
            return Response(sheet(code, also=also))
        except EngineFamily.DoesNotExist:
            raise Http404(f"There is no engine family '{code}'.") from None
