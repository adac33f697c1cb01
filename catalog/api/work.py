"""The work on an engine family: access steps that take it apart and back together, and operations."""

import django_filters
from django.db.models import Prefetch
from rest_framework import serializers

from catalog.api.common import Contains, Within, WithinCode, code_of
from catalog.api.service import (
    FIELDS,
    NEEDS,
    VALUES,
    CautionSerializer,
    FamilyItemView,
    InFamilySerializer,
    NeedSerializer,
    ServiceValueSerializer,
)
from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Caution,
    EngineFamily,
    Operation,
    OperationAccess,
    OperationRisk,
    PartType,
    Property,
)
from shop.api.fields import PlainDecimalField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter


class AccessStepSerializer(InFamilySerializer):
    requires = serializers.SerializerMethodField(help_text="steps that come before, by code")
    needs = NeedSerializer(many=True)
    values = ServiceValueSerializer(many=True)
    cautions = CautionSerializer(many=True)

    class Meta:
        model = AccessStep
        fields = [
            *FIELDS, "minutes", "instruction", "refit", "tools", "requires", "needs", "values", "cautions",
        ]  # fmt: skip

    def get_requires(self, step: AccessStep) -> list[str]:
        return [row.requires.code for row in step.requirements.all()]


class AccessStepFilter(ApiFilterSet):
    family = CodeFilter(EngineFamily)
    name = Contains()
    instruction = Contains()
    refit = Contains()
    tools = Contains()
    requires = Within("requirements__requires__code", "an access step's code: it comes before")
    part_type = WithinCode("needs__part_type", PartType, "a part type's code: the step uses it up")
    property = WithinCode("values__property", Property, "a property's code: its value is needed at the step")
    caution = WithinCode("cautions", Caution, "a caution's code")

    class Meta:
        model = AccessStep
        fields = {"code": ["exact"], "scope": ["exact"], "minutes": ["gte", "lte"]}


class AccessStepView(FamilyItemView):
    """Pieces of teardown and refit that operations share. Minutes cover both ways."""

    queryset = AccessStep.objects.select_related("family").prefetch_related(
        Prefetch(
            "requirements",
            AccessStepRequirement.objects.select_related("requires").order_by("requires__code"),
        ),
        NEEDS,
        VALUES,
        "cautions",
    )
    serializer_class = AccessStepSerializer
    filterset_class = AccessStepFilter
    orders = {**FamilyItemView.orders, "minutes": "minutes"}
    reads = {"requires": ("requirements",)}


class RiskSerializer(ReadSerializer):
    follow_on = code_of("follow_on")
    likelihood = PlainDecimalField()

    class Meta:
        model = OperationRisk
        fields = ["follow_on", "condition", "likelihood"]


class OperationSerializer(InFamilySerializer):
    repairs = code_of("repairs", allow_null=True, help_text="the component")
    access = serializers.SerializerMethodField(help_text="access steps, by code")
    needs = NeedSerializer(many=True)
    values = ServiceValueSerializer(many=True)
    risks = RiskSerializer(many=True)
    cautions = CautionSerializer(many=True)

    class Meta:
        model = Operation
        fields = [
            *FIELDS, "repairs", "description", "minutes", "minutes_further", "rank", "removes_control",
            "access", "needs", "values", "risks", "cautions",
        ]  # fmt: skip

    def get_access(self, operation: Operation) -> list[str]:
        return [row.step.code for row in operation.access.all()]


class OperationFilter(ApiFilterSet):
    family = CodeFilter(EngineFamily)
    name = Contains()
    description = Contains()
    repairs = django_filters.CharFilter(field_name="repairs__code", label="a component's code")
    step = Within("access__step__code", "an access step's code: the operation needs it")
    part_type = WithinCode("needs__part_type", PartType, "a part type's code: the operation uses it up")
    property = WithinCode(
        "values__property", Property, "a property's code: its value is needed for the operation"
    )
    follow_on = Within("risks__follow_on__code", "an operation's code: it may have to follow")
    caution = WithinCode("cautions", Caution, "a caution's code")

    class Meta:
        model = Operation
        fields = {
            "code": ["exact"],
            "scope": ["exact"],
            "minutes": ["gte", "lte"],
            "minutes_further": ["gte", "lte"],
            "rank": ["exact"],
            "removes_control": ["exact"],
        }


class OperationView(FamilyItemView):
    """Repairs, each with its own minutes, the access it needs, what it uses up and what may go wrong."""

    queryset = Operation.objects.select_related("family", "repairs").prefetch_related(
        Prefetch("access", OperationAccess.objects.select_related("step").order_by("step__code")),
        Prefetch("risks", OperationRisk.objects.select_related("follow_on").order_by("follow_on__code")),
        NEEDS,
        VALUES,
        "cautions",
    )
    serializer_class = OperationSerializer
    filterset_class = OperationFilter
    orders = {**FamilyItemView.orders, "minutes": "minutes", "rank": "rank"}
