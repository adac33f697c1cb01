"""Customers and their units. Jobs are read-only here: their own page counts every change."""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from catalog.models import EngineFamily, EngineOption
from catalog.rules import vin
from catalog.rules.serial import SerialScheme
from estimates.models import Customer, DraftChoice, Finding, Job, Reading, Unit, UnitOption
from shop.admin.base import MasterAdmin, MasterInline, ReadOnlyAdmin, ReadOnlyInline
from shop.admin.forms import WORDS, MasterForm, faults
from shop.rules.errors import Refused

WORDS.update(
    {
        "unit_built_from_before_until": "The first possible building day must not lie after the last.",
        "unit_road_use_is_known": "Choose yes, no or not known.",
        "reading_value_only_with_a_number": "A number has a value; an open circuit and a lamp have none.",
        "reading_accuracy_not_negative": "Accuracy and resolution cannot be below zero.",
        "finding_quantity_positive": "At least 1 piece.",
        "finding_has_a_reason": "Say in words what was seen.",
        "job_sourcing_plan_is_known": "Choose one of the listed ways of buying.",
        "job_factor_between_1_and_10": "A factor lies between 1 and 10.",
        "job_factor_has_a_reason": "Say why it takes longer; the estimate prints it.",
        "discount_is_percent_or_amount": "Give a percentage above 0 and up to 100, or an amount above 0.",
        "discount_has_a_reason": "Say what the discount is for; the estimate prints it.",
        "hand_line_quantity_positive": "The quantity is above zero.",
        "hand_line_price_not_negative": "A price cannot be below zero.",
        "hand_line_group_is_known": "Choose firm, only if found, or optional.",
        "hand_line_category_is_known": "Choose parts, fees or bought-in work.",
        "payment_not_zero": "Give the amount received; a refund is negative.",
        "decision_has_a_name": "Type the name of whoever decides.",
        "decision_way_is_known": "A decision comes by the link or at the desk.",
        "later_item_settled_with_a_time": "What is settled carries the time it was.",
        "later_item_quantity_positive": "At least 1 piece.",
        "later_item_why_is_known": "It was declined, or it is an advice.",
        "purchase_line_quantity_positive": "At least 1 piece is ordered.",
        "purchase_line_cost_not_negative": "A price cannot be below zero.",
        "receipt_quantity_positive": "At least 1 piece came.",
        "finding_standing_is_known": "Choose confirmed, suspected or advisory.",
    }
)


@admin.register(Customer)
class CustomerAdmin(MasterAdmin):
    list_display = ["number", "name", "email", "phone"]
    search_fields = ["number", "name", "email", "phone"]


class UnitForm(MasterForm):
    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        family: EngineFamily | None = cleaned.get("family")
        if family and family.serial_scheme and cleaned.get("serial"):
            scheme = family.serial_scheme
            try:
                SerialScheme(scheme.code, tuple(scheme.prefixes.split()), scheme.digits).parse(
                    cleaned["serial"]
                )
            except Refused as refused:
                self.add_error("serial", faults(refused))
        return cleaned


class UnitOptionForm(MasterForm):
    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        option: EngineOption | None = cleaned.get("option")
        if option and cleaned.get("value"):
            known = [value.value for value in option.values.all()]
            if cleaned["value"] not in known:
                self.add_error(
                    "value", ValidationError(f"{option.name} is one of {', '.join(known) or 'none yet'}")
                )
        return cleaned


class UnitOptionInline(MasterInline):
    model = UnitOption
    form = UnitOptionForm
    autocomplete_fields = ["option"]
    verbose_name_plural = "known options (leave out what is not known)"


@admin.register(Unit)
class UnitAdmin(MasterAdmin):
    form = UnitForm
    list_display = ["number", "name", "customer", "family", "registration", "serial", "road_use"]
    list_filter = ["road_use", "family"]
    list_select_related = ["customer", "family"]
    search_fields = ["number", "name", "registration", "serial", "vin", "customer__name"]
    autocomplete_fields = ["customer", "family"]
    inlines = [UnitOptionInline]

    def save_model(self, request: HttpRequest, obj: Unit, form: Any, change: bool) -> None:
        super().save_model(request, obj, form, change)
        doubt = vin.warning(obj.vin) if obj.vin else None
        if doubt:  # a warning only: not every market uses the check digit
            self.message_user(request, doubt, level="WARNING")


class ReadingInline(ReadOnlyInline):
    model = Reading
    fields = ["test_point", "position", "phase", "kind", "value", "temperature", "taken_at", "taken_by"]


class FindingInline(ReadOnlyInline):
    model = Finding
    fields = ["component", "position", "standing", "quantity", "reason", "found_at", "found_by"]


class DraftChoiceInline(ReadOnlyInline):
    model = DraftChoice


@admin.register(Job)
class JobAdmin(ReadOnlyAdmin):
    list_display = ["number", "unit", "opened_on", "writer"]
    list_filter = ["opened_on"]
    list_select_related = ["unit", "writer"]
    search_fields = ["number", "unit__name", "unit__registration", "unit__customer__name"]
    inlines = [ReadingInline, FindingInline, DraftChoiceInline]
