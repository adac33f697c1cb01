"""How the figures of a job's estimate came about, for the shop's own software: with costs and suppliers."""

from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.desk import desk_for
from estimates.api.renderers import PlainJSONRenderer
from estimates.builder import build
from estimates.documents.explanation import HOW, UNITS, explanation_content
from estimates.models import Job
from shop.api.filters import check_parameters
from shop.api.views import Api


@extend_schema_field({"type": "array", "items": {"$ref": "#/components/schemas/ExplainedFigure"}})
class FiguresField(serializers.Field):
    """Figures below a figure."""


class ExplainedFigureSerializer(serializers.Serializer):
    """A figure and what it is made of; doing `how` to the values of the parts gives the value."""

    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    value = serializers.CharField(help_text="decimal text, or a fraction like 70/3")
    unit = serializers.ChoiceField(["money", *UNITS])
    how = serializers.ChoiceField(list(HOW))
    note = serializers.CharField(help_text="where a given figure is from")
    see = serializers.CharField(help_text="the key of the figure that explains this one; empty if none")
    parts = FiguresField()


class ExplanationSerializer(serializers.Serializer):
    currency = serializers.CharField(help_text="ISO 4217")
    figures = ExplainedFigureSerializer(many=True)


class ExplanationView(Api):
    """Every figure of the estimate as it would be issued today, unfolded down to offers, markup, minutes and
    shares. It shows costs and suppliers: not for customers."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=ExplanationSerializer, operation_id="jobs_explanation")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk = desk_for(number)
        return Response(explanation_content(build(desk.brought, timezone.localdate(), book=desk.book)))
