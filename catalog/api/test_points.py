"""Test points: defined measurements, the components in their path, and what a good reading is."""

from typing import Any

from django.db.models import Prefetch
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.common import Contains, Within, WithinCode
from catalog.api.service import FIELDS, CautionSerializer, FamilyItemView, InFamilySerializer
from catalog.api.specs import UNIT, AskedLimitsSerializer, asked_values, check_unit
from catalog.models import Caution, EngineFamily, TestPoint, TestPointAccess, TestPointComponent
from shop.api.fields import PlainDecimalField, StatedField
from shop.api.filters import ApiFilterSet, CodeFilter


class TestPointSerializer(InFamilySerializer):
    __test__ = False

    minimum = StatedField(allow_null=True)
    maximum = StatedField(allow_null=True)
    asked = serializers.SerializerMethodField(help_text="null unless the query asks for a unit")
    lamp = serializers.CharField(read_only=True, help_text="good when on or off; empty for a number")
    temperature_min = PlainDecimalField(allow_null=True, help_text="degC")
    temperature_max = PlainDecimalField(allow_null=True, help_text="degC")
    temperature_coefficient = PlainDecimalField(allow_null=True, help_text="per kelvin, referred to 20 degC")
    path = serializers.SerializerMethodField(help_text="components in series, by code")
    access = serializers.SerializerMethodField(help_text="access steps, by code")
    cautions = CautionSerializer(many=True)

    class Meta:
        model = TestPoint
        fields = [
            *FIELDS, "kind", "unit", "minimum", "maximum", "asked", "lamp", "temperature_min",
            "temperature_max", "temperature_coefficient", "minutes", "minutes_further", "instruction", "path",
            "access", "cautions",
        ]  # fmt: skip

    @extend_schema_field(AskedLimitsSerializer(allow_null=True))
    def get_asked(self, point: TestPoint) -> dict[str, str | None] | None:
        wanted = self.context.get("unit")
        return asked_values(point, point.unit, wanted, ("minimum", "maximum")) if wanted else None

    def get_path(self, point: TestPoint) -> list[str]:
        return [row.component.code for row in point.path.all()]

    def get_access(self, point: TestPoint) -> list[str]:
        return [row.step.code for row in point.access.all()]


class TestPointFilter(ApiFilterSet):
    __test__ = False

    family = CodeFilter(EngineFamily)
    name = Contains()
    instruction = Contains()
    component = Within("path__component__code", "a component's code: it is in the path")
    step = Within("access__step__code", "an access step's code: the test needs it")
    caution = WithinCode("cautions", Caution, "a caution's code")

    not_filtered = {
        "places": "says only how the limits are written",
        "temperature_coefficient": "a constant of the correction, not something to choose by",
    }

    class Meta:
        model = TestPoint
        fields = {
            "code": ["exact"],
            "scope": ["exact"],
            "kind": ["exact"],
            "unit": ["exact"],
            "lamp": ["exact"],
            "minimum": ["gte", "lte"],
            "maximum": ["gte", "lte"],
            "temperature_min": ["gte", "lte"],
            "temperature_max": ["gte", "lte"],
            "minutes": ["gte", "lte"],
            "minutes_further": ["gte", "lte"],
        }


@extend_schema_view(retrieve=extend_schema(parameters=[UNIT]))
class TestPointView(FamilyItemView):
    """Defined measurements: what is measured, through which components, and what a good reading is."""

    __test__ = False

    queryset = TestPoint.objects.select_related("family").prefetch_related(
        Prefetch("path", TestPointComponent.objects.select_related("component").order_by("ordinal")),
        Prefetch("access", TestPointAccess.objects.select_related("step").order_by("step__code")),
        "cautions",
    )
    serializer_class = TestPointSerializer
    filterset_class = TestPointFilter
    orders = {**FamilyItemView.orders, "minutes": "minutes"}

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        self.own_parameters = ("unit",)
        point = self.get_object()
        if wanted := request.query_params.get("unit"):
            check_unit(point.unit, wanted, f"test point {point.code}")
        context = {**self.get_serializer_context(), "unit": wanted}
        return Response(self.get_serializer(point, context=context).data)
