"""Decisions on record and what waits on machines: to be read. The page of the job changes them."""

from django.contrib import admin

from estimates.models import DecidedItem, Decision, LaterItem
from shop.admin.base import ReadOnlyAdmin, ReadOnlyInline


class DecidedItemInline(ReadOnlyInline):
    model = DecidedItem


@admin.register(Decision)
class DecisionAdmin(ReadOnlyAdmin):
    list_display = ["estimate", "decided_at", "name", "way", "authorised_total", "ceiling_total"]
    list_filter = ["way", "decided_at"]
    list_select_related = ["estimate"]
    search_fields = ["estimate__number", "name"]
    inlines = [DecidedItemInline]


@admin.register(LaterItem)
class LaterItemAdmin(ReadOnlyAdmin):
    list_display = ["unit", "component", "position", "why", "from_job", "noted_at", "settled"]
    list_filter = ["why", "settled"]
    list_select_related = ["unit", "component", "position", "from_job__unit"]
    search_fields = ["unit__number", "unit__name", "component__name"]
