"""Suppliers, their offers and price breaks."""

from django.contrib import admin

from catalog.admin.search import ByPartNumber
from catalog.models import Offer, PriceBreak, Supplier
from shop.admin.base import MasterAdmin, MasterInline


@admin.register(Supplier)
class SupplierAdmin(MasterAdmin):
    list_display = ["code", "name", "currency", "freight", "free_freight_from", "blocked"]
    list_filter = ["blocked", "currency"]
    search_fields = ["code", "name"]


class PriceBreakInline(MasterInline):
    model = PriceBreak


@admin.register(Offer)
class OfferAdmin(ByPartNumber, MasterAdmin):
    list_display = [
        "part", "supplier", "price", "pack", "minimum_quantity",
        "deposit", "lead_days", "valid_from", "valid_until",
    ]  # fmt: skip
    list_filter = ["supplier", "valid_from"]
    list_select_related = ["part__brand", "supplier"]
    search_fields = ["part__normalised"]
    search_help_text = "part number in any spelling"
    autocomplete_fields = ["part", "supplier"]
    inlines = [PriceBreakInline]
