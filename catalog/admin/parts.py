"""Parts, what they are, who makes them, what replaced them and what serves alike."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError

from catalog.admin.replacements import ReplacementInline
from catalog.admin.search import ByPartNumber
from catalog.models import Brand, InterchangeGroup, InterchangeMember, Part, PartType
from catalog.rules import gtin
from catalog.rules.partnumber import normalise
from shop.admin.base import MasterAdmin, MasterInline
from shop.admin.forms import MasterForm, faults
from shop.rules.errors import Refused
from shop.templatetags.figures import money


@admin.register(PartType)
class PartTypeAdmin(MasterAdmin):
    list_display = ["code", "name", "plural", "controls"]
    list_filter = ["controls"]
    search_fields = ["code", "name"]


@admin.register(Brand)
class BrandAdmin(MasterAdmin):
    list_display = ["code", "name"]
    search_fields = ["code", "name"]


class PartForm(MasterForm):
    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        try:
            normalise(number)
        except Refused as refused:
            raise ValidationError(faults(refused)) from None
        return number

    def clean_gtin(self) -> str:
        text: str = self.cleaned_data["gtin"]
        try:
            return gtin.normalise(text) if text else ""
        except Refused as refused:
            raise ValidationError(faults(refused)) from None

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        if cleaned.get("number") and cleaned.get("brand"):
            same = Part.objects.filter(brand=cleaned["brand"], normalised=normalise(cleaned["number"]))
            other = same.exclude(pk=self.instance.pk).first()
            if other is not None:
                self.add_error("number", f"{cleaned['brand']} already has it, written {other.number}")
        return cleaned


@admin.register(Part)
class PartAdmin(ByPartNumber, MasterAdmin):
    form = PartForm
    to_part = ""
    also_in = ("description", "part_type__name")
    list_display = ["number", "brand", "part_type", "description", "grade", "price"]
    list_filter = ["grade", "brand", "part_type"]
    list_select_related = ["brand", "part_type"]
    search_fields = ["normalised"]
    search_help_text = "part number in any spelling, or a word of the description"
    autocomplete_fields = ["brand", "part_type"]
    inlines = [ReplacementInline]

    @admin.display(description="list price", ordering="list_price")
    def price(self, part: Part) -> str:
        return money(part.list_price, part.list_currency)

    def choice_label(self, instance: Part) -> str:
        return f"{instance.brand.name} {instance.number} ({instance.part_type.name})"


class InterchangeMemberInline(MasterInline):
    model = InterchangeMember
    autocomplete_fields = ["part"]


@admin.register(InterchangeGroup)
class InterchangeGroupAdmin(MasterAdmin):
    list_display = ["code", "name", "part_type"]
    list_filter = ["part_type"]
    list_select_related = ["part_type"]
    search_fields = ["code", "name"]
    autocomplete_fields = ["part_type"]
    inlines = [InterchangeMemberInline]
