"""Service data: components, access steps and operations, each with what hangs on it."""

from typing import Any

from django.contrib import admin

from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Caution,
    Component,
    Operation,
    OperationAccess,
    OperationCaution,
    OperationRisk,
    PartNeed,
    ServiceValue,
    StepCaution,
)
from shop.admin.base import MasterAdmin, MasterInline


@admin.register(Caution)
class CautionAdmin(MasterAdmin):
    list_display = ["code", "text"]
    search_fields = ["code", "text"]


class FamilyItemAdmin(MasterAdmin):
    """Named under one engine family: the family's code stands beside the name wherever it can be chosen."""

    list_filter = ["scope", "family"]
    list_select_related = ["family"]
    search_fields = ["code", "name", "family__code"]

    def choice_label(self, instance: Any) -> str:
        return f"{instance.name} ({instance.code}) of {instance.family.code}"


@admin.register(Component)
class ComponentAdmin(FamilyItemAdmin):
    list_display = ["code", "name", "family", "scope", "part_type", "likelihood"]
    list_select_related = ["family", "part_type"]
    autocomplete_fields = ["family", "part_type"]


class PartNeedInline(MasterInline):
    model = PartNeed
    autocomplete_fields = ["part_type"]


class OperationNeedInline(PartNeedInline):
    fields = ["part_type", "quantity", "per", "necessity"]


class ServiceValueInline(MasterInline):
    model = ServiceValue
    fields = ["part_type", "property"]
    autocomplete_fields = ["part_type", "property"]


class RequirementInline(MasterInline):
    model = AccessStepRequirement
    fk_name = "step"
    autocomplete_fields = ["requires"]
    verbose_name_plural = "only after these steps"


class StepCautionInline(MasterInline):
    model = StepCaution
    autocomplete_fields = ["caution"]


@admin.register(AccessStep)
class AccessStepAdmin(FamilyItemAdmin):
    list_display = ["code", "name", "family", "scope", "minutes", "tools"]
    autocomplete_fields = ["family"]
    inlines = [RequirementInline, OperationNeedInline, ServiceValueInline, StepCautionInline]


class OperationAccessInline(MasterInline):
    model = OperationAccess
    autocomplete_fields = ["step"]
    verbose_name_plural = "access steps"


class OperationCautionInline(MasterInline):
    model = OperationCaution
    autocomplete_fields = ["caution"]


class OperationRiskInline(MasterInline):
    model = OperationRisk
    fk_name = "operation"
    autocomplete_fields = ["follow_on"]


@admin.register(Operation)
class OperationAdmin(FamilyItemAdmin):
    list_display = ["code", "name", "family", "scope", "repairs", "minutes", "minutes_further", "rank"]
    list_filter = ["removes_control", "scope", "family"]
    list_select_related = ["family", "repairs"]
    autocomplete_fields = ["family", "repairs"]
    inlines = [
        OperationAccessInline,
        OperationNeedInline,
        ServiceValueInline,
        OperationCautionInline,
        OperationRiskInline,
    ]
