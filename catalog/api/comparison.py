"""Up to four parts side by side."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.spec_sheets import ALSO, StatedSerializer, also_asked
from catalog.documents.comparison import MOST, comparison, parts_to_compare
from shop.api.filters import check_parameters
from shop.api.problems import BadRequest
from shop.api.views import Api
from shop.rules.errors import Refused

WHERE = "query parameter part"
PART = OpenApiParameter(
    "part",
    {"type": "array", "items": {"type": "string", "minLength": 1}, "minItems": 1, "maxItems": MOST},
    required=True,
    description="brand/number, the number in any spelling; give it once for each part",
)


class ComparedPartSerializer(serializers.Serializer):
    key = serializers.CharField(help_text="brand/number, as `part` takes it")
    brand = serializers.CharField()
    brand_name = serializers.CharField()
    number = serializers.CharField()
    part_type = serializers.CharField()
    part_type_name = serializers.CharField()
    description = serializers.CharField()
    grade = serializers.CharField()
    grade_words = serializers.CharField()


class ComparedRowSerializer(serializers.Serializer):
    property = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField(help_text="UCUM code; empty for texts")
    condition = serializers.CharField(help_text="what all values of the row hold under")
    difference = serializers.CharField(help_text="the row in words: same, differs, stated for one only, ...")
    values = serializers.ListField(
        child=StatedSerializer(allow_null=True), help_text="in the order of the parts; null where not stated"
    )
    against = serializers.ListField(
        child=serializers.CharField(allow_blank=True),
        help_text="each value beside the first one stated: same, higher, wider, not stated, ...",
    )


class PartComparisonSerializer(serializers.Serializer):
    demonstration = serializers.CharField(help_text="empty, or what to print wherever the data is shown")
    caution = serializers.CharField(help_text="to be shown wherever the values are")
    parts = ComparedPartSerializer(many=True)
    remark = serializers.CharField(help_text="says so where the parts are of different types")
    rows = ComparedRowSerializer(many=True)


class PartComparisonView(Api):
    """The specs of up to four parts: a row for each property and condition, a value for each part."""

    @extend_schema(parameters=[PART, ALSO], responses=PartComparisonSerializer)
    def get(self, request: Request) -> Response:
        check_parameters(request, {"part", "also"}, repeated=("part",))
        named = [text.strip() for text in request.query_params.getlist("part")]
        if not named:
            raise BadRequest.single(WHERE, "no part is named", f"give brand/number of one to {MOST} parts")
        try:
            parts = parts_to_compare(named, WHERE)
        except Refused as refused:
            raise BadRequest(refused.faults, "refused") from refused
        return Response(comparison(parts, also=also_asked(request)))
