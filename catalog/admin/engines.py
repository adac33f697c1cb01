"""Engine families with their positions and options, makers and serial schemes."""

from typing import Any

from django.contrib import admin
from django.db.models import ForeignKey
from django.http import HttpRequest

from catalog.models import (
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Position,
    SerialScheme,
)
from catalog.rules.serial import SerialScheme as SchemeRule
from shop.admin.base import MasterAdmin, MasterInline
from shop.admin.forms import MasterForm
from shop.rules.errors import Refused


@admin.register(Maker)
class MakerAdmin(MasterAdmin):
    list_display = ["code", "name"]
    search_fields = ["code", "name"]


class SerialSchemeForm(MasterForm):
    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if cleaned.get("prefixes") is not None and cleaned.get("digits"):
            try:
                SchemeRule(cleaned.get("code", ""), tuple(cleaned["prefixes"].split()), cleaned["digits"])
            except Refused as refused:
                self.add_error("prefixes", [f"{fault.what}; {fault.right}" for fault in refused.faults])
        return cleaned


@admin.register(SerialScheme)
class SerialSchemeAdmin(MasterAdmin):
    form = SerialSchemeForm
    list_display = ["code", "name", "prefixes", "digits"]
    search_fields = ["code", "name"]


class PositionInline(MasterInline):
    """Banks first: a cylinder can only name a bank that is already saved."""

    model = Position
    fields = ["code", "scope", "bank", "ordinal"]

    def formfield_for_foreignkey(self, db_field: ForeignKey, request: HttpRequest, **kwargs: Any) -> Any:
        match = request.resolver_match
        family = match.kwargs.get("object_id") if match else None
        if db_field.name == "bank":
            banks = Position.objects.filter(scope="bank").select_related("family")
            kwargs["queryset"] = banks.filter(family_id=family) if family else banks.none()
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


class EngineOptionInline(MasterInline):
    model = EngineOption
    show_change_link = True


@admin.register(EngineFamily)
class EngineFamilyAdmin(MasterAdmin):
    list_display = ["code", "name", "maker", "layout", "cylinders", "voltage"]
    list_filter = ["maker", "layout", "voltage"]
    list_select_related = ["maker"]
    search_fields = ["code", "name", "maker__name"]
    autocomplete_fields = ["maker", "serial_scheme"]
    inlines = [PositionInline, EngineOptionInline]

    def choice_label(self, instance: EngineFamily) -> str:
        return f"{instance.name} ({instance.code})"


@admin.register(Position)
class PositionAdmin(MasterAdmin):
    list_display = ["family", "code", "scope", "bank", "ordinal"]
    list_filter = ["scope", "family"]
    list_select_related = ["family", "bank"]
    search_fields = ["family__code", "scope", "=code"]
    autocomplete_fields = ["family", "bank"]

    def choice_label(self, instance: Position) -> str:
        return f"{instance.label} of {instance.family.code}"


class EngineOptionValueInline(MasterInline):
    model = EngineOptionValue


@admin.register(EngineOption)
class EngineOptionAdmin(MasterAdmin):
    list_display = ["family", "code", "name"]
    list_filter = ["family"]
    list_select_related = ["family"]
    search_fields = ["family__code", "code", "name"]
    autocomplete_fields = ["family"]
    inlines = [EngineOptionValueInline]

    def choice_label(self, instance: EngineOption) -> str:
        return f"{instance.name} ({instance.code}) of {instance.family.code}"
