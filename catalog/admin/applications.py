"""Applications: which part serves which engine family, where, how many, under which conditions."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError
from django.forms import BaseInlineFormSet

from catalog.admin.search import ByPartNumber
from catalog.models import Application, ApplicationOption, EngineOptionValue
from catalog.rules.serial import SerialScheme
from shop.admin.base import MasterAdmin, MasterInline
from shop.admin.forms import MasterForm, faults
from shop.rules.errors import Refused


class ApplicationForm(MasterForm):
    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        position, family = cleaned.get("position"), cleaned.get("family")
        if position and family and position.family_id != family.pk:
            self.add_error(
                "position", f"it is a position of {position.family.name}; choose one of {family.name}"
            )
        elif position and cleaned.get("scope") and position.scope != cleaned["scope"]:
            self.add_error(
                "position", f"{position.label} does not go with this scope; leave it empty for every one"
            )
        if family:
            self._clean_serials(family.serial_scheme)
        return cleaned

    def _clean_serials(self, scheme: Any) -> None:
        rule = (
            SerialScheme.stored(scheme.code, tuple(scheme.prefixes.split()), scheme.digits)
            if scheme
            else None
        )
        ends = {name: self.cleaned_data.get(name) for name in ("serial_from", "serial_until")}
        for name, text in ends.items():
            if text and rule is None:
                self.add_error(name, "the engine family has no serial scheme to count by; give it one first")
            elif text and rule is not None:
                try:
                    rule.parse(text)
                    rule.check_range(*ends.values())
                except Refused as refused:
                    self.add_error(name, faults(refused))


class OptionFormSet(BaseInlineFormSet):
    """Only values that the option can have: a mistyped one would never be met, and nobody would notice."""

    def clean(self) -> None:
        super().clean()
        chosen = [
            (form, form.cleaned_data["option"], form.cleaned_data["value"])
            for form in self.forms
            if form.cleaned_data.get("option") and not form.cleaned_data.get("DELETE")
        ]
        known: dict[int, list[str]] = {}
        of_these = EngineOptionValue.objects.filter(option__in=[option for _, option, _ in chosen])
        for option_id, value in of_these.values_list("option_id", "value"):
            known.setdefault(option_id, []).append(value)
        for form, option, value in chosen:
            if value not in known.get(option.pk, []):
                offered = (
                    ", ".join(known.get(option.pk, [])) or "none yet: add the values to the option first"
                )
                form.add_error("value", ValidationError(f"{option.name} has no such value; it has {offered}"))


class ApplicationOptionInline(MasterInline):
    model = ApplicationOption
    formset = OptionFormSet
    autocomplete_fields = ["option"]
    verbose_name = "condition"
    verbose_name_plural = "only where the engine has all of these"


@admin.register(Application)
class ApplicationAdmin(ByPartNumber, MasterAdmin):
    form = ApplicationForm
    list_display = [
        "part", "family", "polarity", "scope", "position", "quantity",
        "built_from", "built_until", "serial_from", "serial_until",
    ]  # fmt: skip
    list_filter = ["polarity", "family", "part_type"]
    list_select_related = ["part__brand", "family", "position"]
    search_fields = ["part__normalised"]
    search_help_text = "part number in any spelling"
    autocomplete_fields = ["part", "family", "position"]
    inlines = [ApplicationOptionInline]
