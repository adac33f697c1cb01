"""Specs with their properties and sources."""

from decimal import Decimal
from typing import Any

from django.contrib import admin

from catalog.admin.search import ByPartNumber
from catalog.models import Property, Source, Spec
from shop.admin.base import MasterAdmin
from shop.admin.forms import MasterForm, written_places
from shop.rules.units import unit

VALUES = ("minimum", "nominal", "maximum")


class PropertyForm(MasterForm):
    checks = {"unit": unit}


@admin.register(Property)
class PropertyAdmin(MasterAdmin):
    form = PropertyForm
    list_display = ["code", "name", "unit", "description"]
    search_fields = ["code", "name"]


@admin.register(Source)
class SourceAdmin(MasterAdmin):
    list_display = ["code", "title", "revision", "publisher", "dated"]
    search_fields = ["code", "title"]


def with_places(value: Decimal | None, places: int) -> Decimal | None:
    """The value as its source states it: 0.60 with two places, not 0.600000."""
    return None if value is None else value.quantize(Decimal(1).scaleb(-places))


class SpecForm(MasterForm):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "part_type" in self.fields:
            self.fields["part_type"].required = False
        if self.instance.pk:
            for name in VALUES:
                self.initial[name] = with_places(getattr(self.instance, name), self.instance.places)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        part, kind, of = cleaned.get("part"), cleaned.get("part_type"), cleaned.get("property")
        if part is not None:
            if kind is not None and kind.pk != part.part_type_id:
                self.add_error(
                    "part_type", "it is not the type of the part; leave it empty to take the part’s"
                )
            cleaned["part_type"] = part.part_type
        elif kind is None and "part_type" not in self.errors:
            self.add_error("part_type", "say which part of the engine family the value belongs to")
        if of is not None:
            numbers = [name for name in VALUES if cleaned.get(name) is not None]
            if not of.unit and numbers:
                self.add_error(numbers[0], f"{of.name} is a text, not a number; use the text field")
            elif of.unit and cleaned.get("text"):
                self.add_error(
                    "text", f"{of.name} is a number in {of.unit}; use minimum, nominal and maximum"
                )
        self.instance.places = written_places(
            *(self.data.get(self.add_prefix(name)) or "" for name in VALUES)
        )
        return cleaned


@admin.register(Spec)
class SpecAdmin(ByPartNumber, MasterAdmin):
    form = SpecForm
    list_display = ["property", "part_type", "of", "condition", "value", "unit", "source", "verified"]
    list_filter = ["verified", "property", "part_type", "family"]
    list_select_related = ["property", "part_type", "part__brand", "family", "source"]
    search_fields = ["part__normalised"]
    search_help_text = "part number in any spelling"
    autocomplete_fields = ["property", "part", "family", "part_type", "source"]
    exclude = ["places"]

    @admin.display(description="of")
    def of(self, spec: Spec) -> str:
        return str(spec.part or spec.family)

    @admin.display(description="value")
    def value(self, spec: Spec) -> str:
        return spec.text or " / ".join(
            "" if v is None else f"{v:f}"
            for v in (with_places(getattr(spec, n), spec.places) for n in VALUES)
        )

    @admin.display(description="unit")
    def unit(self, spec: Spec) -> str:
        return unit(spec.property.unit).symbol if spec.property.unit else ""
