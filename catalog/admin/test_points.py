"""Test points: what is measured, through what, and what a good reading is."""

from typing import Any

from django.contrib import admin

from catalog.admin.service import FamilyItemAdmin
from catalog.admin.specs import with_places
from catalog.models import TestPoint, TestPointAccess, TestPointCaution, TestPointComponent
from shop.admin.base import MasterInline
from shop.admin.forms import MasterForm, written_places
from shop.rules.units import unit


class TestPointForm(MasterForm):
    checks = {"unit": unit}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            for name in ("minimum", "maximum"):
                self.initial[name] = with_places(getattr(self.instance, name), self.instance.places)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        typed = [self.data.get(self.add_prefix(name)) or "" for name in ("minimum", "maximum")]
        self.instance.places = written_places(*typed)
        return cleaned


class PathInline(MasterInline):
    model = TestPointComponent
    fields = ["ordinal", "component"]
    autocomplete_fields = ["component"]
    verbose_name = "component"
    verbose_name_plural = "path: what is measured through, in series"


class TestPointAccessInline(MasterInline):
    model = TestPointAccess
    autocomplete_fields = ["step"]
    verbose_name_plural = "access steps"


class TestPointCautionInline(MasterInline):
    model = TestPointCaution
    autocomplete_fields = ["caution"]


@admin.register(TestPoint)
class TestPointAdmin(FamilyItemAdmin):
    form = TestPointForm
    list_display = ["code", "name", "family", "scope", "kind", "expected", "minutes", "minutes_further"]
    list_filter = ["kind", "scope", "family"]
    autocomplete_fields = ["family"]
    exclude = ["places"]
    inlines = [PathInline, TestPointAccessInline, TestPointCautionInline]

    @admin.display(description="a good reading")
    def expected(self, point: TestPoint) -> str:
        if point.kind == TestPoint.Kind.LAMP:
            return f"lamp {point.lamp}"
        limits = [with_places(point.minimum, point.places), with_places(point.maximum, point.places)]
        return " to ".join("…" if v is None else f"{v:f}" for v in limits) + f" {unit(point.unit).symbol}"
