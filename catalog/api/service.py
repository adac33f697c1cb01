"""What the service data of an engine family shares, and its components. All of it is read only here.

All of it is named by family and code. It describes work on hot, pressurised and moving machinery: the
cautions belong to it, and the maker's manual and local rules come first.
"""

from django.db.models import Prefetch
from rest_framework import serializers

from catalog.api.common import Contains, code_of
from catalog.models import Component, EngineFamily, PartNeed, PartType, ServiceValue
from shop.api.fields import PlainDecimalField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter
from shop.api.views import ReadView

IN_FAMILY = {"family": "family__code", "code": "code"}
NEEDS = Prefetch("needs", PartNeed.objects.select_related("part_type").order_by("part_type__code"))
VALUES = Prefetch(
    "values",
    ServiceValue.objects.select_related("part_type", "property").order_by(
        "part_type__code", "property__code"
    ),
)


class CautionSerializer(serializers.Serializer):
    code = serializers.CharField()
    text = serializers.CharField()


class NeedSerializer(ReadSerializer):
    part_type = code_of("part_type")

    class Meta:
        model = PartNeed
        fields = ["part_type", "quantity", "per", "necessity"]


class ServiceValueSerializer(ReadSerializer):
    """Which spec of the family the person at work needs at hand; its value is under specs."""

    part_type = code_of("part_type")
    property = code_of("property")

    class Meta:
        model = ServiceValue
        fields = ["part_type", "property"]


class InFamilySerializer(ReadSerializer):
    family = code_of("family")


FIELDS = ["family", "code", "name", "scope"]


class ComponentSerializer(InFamilySerializer):
    part_type = code_of("part_type", allow_null=True)
    likelihood = PlainDecimalField(help_text="relative: 10 fails ten times as often as 1")

    class Meta:
        model = Component
        fields = [*FIELDS, "part_type", "likelihood"]


class ComponentFilter(ApiFilterSet):
    family = CodeFilter(EngineFamily)
    name = Contains()
    part_type = CodeFilter(PartType)

    class Meta:
        model = Component
        fields = {"code": ["exact"], "scope": ["exact"], "likelihood": ["gte", "lte"]}


class FamilyItemView(ReadView):
    page_key = ("family_id", "code")
    orders = {"family": "family__code", "code": "code", "name": "name", "scope": "scope"}
    lookup = IN_FAMILY


class ComponentView(FamilyItemView):
    """What can be at fault: a heater, a relay contact, a harness lead, a hose."""

    queryset = Component.objects.select_related("family", "part_type")
    serializer_class = ComponentSerializer
    filterset_class = ComponentFilter
    orders = {**FamilyItemView.orders, "likelihood": "likelihood"}
