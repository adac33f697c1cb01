"""Engine families with their positions and options, makers and serial schemes."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError
from django.db.models import ForeignKey
from django.forms import BaseInlineFormSet
from django.http import HttpRequest

from catalog.models import (
    ApplicationOption,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Position,
    SerialScheme,
)
from catalog.recorded_serials import recorded
from catalog.rules.scheme_change import fault, unreadable
from catalog.rules.serial import SerialScheme as SchemeRule
from shop.admin.base import MasterAdmin, MasterInline
from shop.admin.forms import MasterForm, faults
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
                after = SchemeRule(
                    cleaned.get("code", ""), tuple(cleaned["prefixes"].split()), cleaned["digits"]
                )
            except Refused as refused:
                self.add_error("prefixes", faults(refused))
            else:
                self._clean_records(after)
        return cleaned

    def _clean_records(self, after: SchemeRule) -> None:
        held = SerialScheme.objects.filter(pk=self.instance.pk).first()
        before = _rule(held)
        if held is not None and before != after:
            families = held.families.values_list("code", flat=True)
            column = "digits" if before is not None and before.digits != after.digits else "prefixes"
            _refuse_unreadable(self, column, before, after, list(families))


class EngineFamilyForm(MasterForm):
    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        held = EngineFamily.objects.filter(pk=self.instance.pk).select_related("serial_scheme").first()
        if held is not None and "serial_scheme" in cleaned and cleaned["serial_scheme"] != held.serial_scheme:
            before, after = _rule(held.serial_scheme), _rule(cleaned["serial_scheme"])
            _refuse_unreadable(self, "serial_scheme", before, after, [held.code])
        return cleaned


def _rule(scheme: SerialScheme | None) -> SchemeRule | None:
    return SchemeRule.stored(scheme.code, tuple(scheme.prefixes.split()), scheme.digits) if scheme else None


def _refuse_unreadable(
    form: MasterForm, column: str, before: SchemeRule | None, after: SchemeRule | None, families: list[str]
) -> None:
    records = unreadable(before, after, recorded(families))
    if records:
        told = fault(records, column)
        form.add_error(column, f"{told.what}; {told.right}")


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
    form = EngineFamilyForm
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


class ValueForm(MasterForm):
    """A value that applications ask for keeps its name: renamed, it would be met by no engine."""

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if self.instance.pk and "value" in self.changed_data and (users := _asking(self.instance)):
            self.add_error("value", f"{users}; change that first, or add a further value")
        return cleaned


class ValueFormSet(BaseInlineFormSet):
    def clean(self) -> None:
        super().clean()
        for form in self.deleted_forms:
            if form.instance.pk and (users := _asking(form.instance)):
                raise ValidationError(f"{form.instance.value} stays: {users}; change that first")


def _asking(value: EngineOptionValue) -> str:
    """Which applications ask for a stored value, in words; "" for none."""
    held = EngineOptionValue.objects.get(pk=value.pk)
    rows = ApplicationOption.objects.filter(option=held.option_id, value=held.value)
    first = rows.select_related("application__part__brand").order_by("application").first()
    if first is None:
        return ""
    more = rows.count() - 1
    others = f" and {more} more" if more else ""
    return f"the application of {first.application.part}{others} asks for {held.value}"


class EngineOptionValueInline(MasterInline):
    model = EngineOptionValue
    form = ValueForm
    formset = ValueFormSet


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
