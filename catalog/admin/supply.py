"""Suppliers, their offers and price breaks."""

from django.contrib import admin

from catalog.admin.search import ByPartNumber
from catalog.models import HeldPrice, Offer, PriceBreak, PriceFile, Stock, Supplier
from shop.admin.base import MasterAdmin, MasterInline, ReadOnlyAdmin
from shop.templatetags.figures import money


@admin.register(Supplier)
class SupplierAdmin(MasterAdmin):
    list_display = ["code", "name", "currency", "freight_shown", "preferred", "blocked"]
    list_filter = ["preferred", "blocked", "currency"]
    search_fields = ["code", "name"]

    @admin.display(description="freight", ordering="freight")
    def freight_shown(self, supplier: Supplier) -> str:
        told = money(supplier.freight, supplier.currency)
        free = supplier.free_freight_from
        return told if free is None else f"{told}, none from {money(free, supplier.currency)}"


@admin.register(Stock)
class StockAdmin(ByPartNumber, MasterAdmin):
    list_display = ["part", "quantity", "cost_shown", "place"]
    list_select_related = ["part__brand"]
    search_fields = ["part__normalised"]
    search_help_text = "part number in any spelling"
    autocomplete_fields = ["part"]

    @admin.display(description="paid per piece", ordering="unit_cost")
    def cost_shown(self, stock: Stock) -> str:
        return money(stock.unit_cost, stock.currency)


class PriceBreakInline(MasterInline):
    model = PriceBreak


@admin.register(Offer)
class OfferAdmin(ByPartNumber, MasterAdmin):
    list_display = [
        "part", "supplier", "price_shown", "pack", "minimum_quantity",
        "deposit_shown", "lead_days", "valid_from", "valid_until",
    ]  # fmt: skip
    list_filter = ["supplier", "valid_from"]
    list_select_related = ["part__brand", "supplier"]
    search_fields = ["part__normalised"]
    search_help_text = "part number in any spelling"
    autocomplete_fields = ["part", "supplier"]
    inlines = [PriceBreakInline]

    @admin.display(description="price", ordering="price")
    def price_shown(self, offer: Offer) -> str:
        return money(offer.price, offer.supplier.currency)

    @admin.display(description="deposit", ordering="deposit")
    def deposit_shown(self, offer: Offer) -> str:
        return money(offer.deposit, offer.supplier.currency) if offer.deposit else "none"


@admin.register(PriceFile)
class PriceFileAdmin(ReadOnlyAdmin):
    """Price files are taken in on the supplier's page or by command."""

    list_display = ["name", "supplier", "valid_from", "new", "changed", "unchanged", "held", "ended", "at"]
    list_filter = ["supplier"]
    list_select_related = ["supplier"]


@admin.register(HeldPrice)
class HeldPriceAdmin(ReadOnlyAdmin):
    """Held prices are decided on the supplier's page or by command."""

    list_display = ["part", "price_file", "row", "old_price", "price", "state"]
    list_filter = ["state"]
    list_select_related = ["part__brand", "price_file__supplier"]
