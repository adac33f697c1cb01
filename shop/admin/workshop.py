"""The workshop: who it is, its rates, taxes, markup, fees and meters."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from shop.admin.base import MasterAdmin, MasterInline, ReadOnlyAdmin
from shop.admin.forms import WORDS, MasterForm
from shop.models import Event, Fee, LineTax, MarkupBand, Meter, MeterRange, TaxRate, Workshop
from shop.rules.units import unit

WORDS.update(
    {
        "workshop_is_one_row": "There is one workshop only.",
        "workshop_labour_rate_not_negative": "The labour rate cannot be below zero.",
        "workshop_billing_increment": "Bill in steps above 0 and up to 1 hour; 0.10 is common.",
        "workshop_supplies_percent": "Shop supplies are between 0 and 100 percent of labour.",
        "workshop_supplies_cap": "The cap on shop supplies cannot be below zero; leave it empty for none.",
        "workshop_validity_days": "An estimate is valid for at least 1 day.",
        "workshop_freight_policy_is_known": "Freight is passed on or absorbed.",
        "workshop_parts_grade_is_known": "Choose one of the listed grades of parts.",
        "workshop_sourcing_plan_is_known": "Choose one of the listed ways of buying.",
        "workshop_premiums_not_negative": "A percentage that a part may cost more cannot be below zero.",
        "workshop_overrun_rule_is_complete": "Give the amount, the percentage or both, as the rule for work "
        "beyond the agreed total asks.",
        "workshop_overrun_cap": "The cap above the agreed total is not below zero; leave it empty for none.",
        "workshop_history_fewest": "Earlier work counts from 2 times upwards.",
        "tax_rate_percent_between_0_and_100": "A tax rate is between 0 and 100 percent.",
        "line_tax_category_is_known": "Choose one of the listed kinds of line.",
        "markup_cost_not_negative": "A band starts at a cost of 0 or more.",
        "markup_percent_not_negative": "A markup cannot be below zero.",
        "fee_amount_not_negative": "A fee cannot be below zero.",
        "meter_range_is_sane": "A range needs a resolution above 0, a full scale not below the resolution "
        "and an accuracy of 0 percent or more.",
    }
)


@admin.register(Workshop)
class WorkshopAdmin(MasterAdmin):
    list_display = ["name", "currency", "labour_rate", "billing_increment", "validity_days", "demonstration"]
    fieldsets = [
        (None, {"fields": ["name", "address", "phone", "email", "tax_number", "demonstration"]}),
        (
            "Prices",
            {"fields": ["currency", "prices_include_tax", "labour_rate", "billing_increment", "markup_mode"]},
        ),
        ("Shop supplies", {"fields": ["supplies_percent", "supplies_cap"]}),
        (
            "Buying",
            {
                "fields": [
                    "sourcing_plan",
                    "parts_grade",
                    "original_premium",
                    "preferred_premium",
                    "freight_policy",
                ]
            },
        ),
        ("Estimates", {"fields": ["validity_days", "paper", "terms"]}),
        (
            "Work beyond the agreed total",
            {
                "fields": [
                    "overrun_rule",
                    "overrun_amount",
                    "overrun_percent",
                    "overrun_cap",
                    "overrun_before_tax",
                ],
                "description": "What the law of the place asks goes first. Whatever lies beyond is done only "
                "after the customer has decided again.",
            },
        ),
        ("Earlier work", {"fields": ["history_fewest"]}),
    ]

    def has_add_permission(self, request: HttpRequest) -> bool:
        return super().has_add_permission(request) and not Workshop.objects.exists()

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: Workshop, form: Any, change: bool) -> None:
        obj.pk = 1
        super().save_model(request, obj, form, change)


class LineTaxInline(MasterInline):
    model = LineTax


@admin.register(TaxRate)
class TaxRateAdmin(MasterAdmin):
    list_display = ["code", "name", "percent", "category"]
    search_fields = ["code", "name"]
    inlines = [LineTaxInline]


@admin.register(MarkupBand)
class MarkupBandAdmin(MasterAdmin):
    list_display = ["cost_from", "percent"]


@admin.register(Fee)
class FeeAdmin(MasterAdmin):
    list_display = ["code", "name", "amount", "active"]
    list_filter = ["active"]
    search_fields = ["code", "name"]


class MeterRangeForm(MasterForm):
    checks = {"unit": unit}


class MeterRangeInline(MasterInline):
    model = MeterRange
    form = MeterRangeForm


@admin.register(Meter)
class MeterAdmin(MasterAdmin):
    list_display = ["code", "name"]
    search_fields = ["code", "name"]
    inlines = [MeterRangeInline]


@admin.register(Event)
class EventAdmin(ReadOnlyAdmin):
    """What was decided, by whom, when: added to, never changed."""

    list_display = ["at", "what", "subject", "by"]
    list_filter = ["what"]
    search_fields = ["subject", "what"]
    date_hierarchy = "at"
    list_select_related = ["by"]
