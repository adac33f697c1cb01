"""Who sells which part, for how much, from how many, how soon, until when."""

from datetime import date

from django.db.models import Prefetch, Q, QuerySet
from rest_framework import serializers

from catalog.api.common import BesideText, BesideTruth, Contains, PartNumberFilter, PartRefSerializer, code_of
from catalog.models import Brand, Offer, PartType, PriceBreak, Supplier
from shop.api.fields import MoneyField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter, DayFilter
from shop.api.views import ListView, ReadView


class SupplierSerializer(ReadSerializer):
    freight = MoneyField("currency", help_text="per order")
    free_freight_from = MoneyField("currency", allow_null=True, help_text="order value without tax")

    class Meta:
        model = Supplier
        fields = ["code", "name", "currency", "freight", "free_freight_from", "email", "phone", "blocked",
                  "preferred", "hold_percent", "stale_after_days"]  # fmt: skip


class SupplierFilter(ApiFilterSet):
    name = Contains()
    email = Contains()
    phone = Contains()

    not_filtered = {"price_columns": "how this supplier's price files are read, not a fact to choose by"}

    class Meta:
        model = Supplier
        fields = {
            "code": ["exact"],
            "currency": ["exact"],
            "freight": ["gte", "lte"],
            "free_freight_from": ["gte", "lte"],
            "blocked": ["exact"],
            "preferred": ["exact"],
            "hold_percent": ["exact", "gte", "lte"],
            "stale_after_days": ["exact", "gte", "lte"],
        }


class SupplierView(ReadView):
    """Suppliers with their freight terms."""

    queryset = Supplier.objects.all()
    serializer_class = SupplierSerializer
    filterset_class = SupplierFilter
    page_key = ("code",)
    orders = {
        "code": "code", "name": "name", "freight": "freight", "free_freight_from": "free_freight_from",
    }  # fmt: skip


class PriceBreakSerializer(ReadSerializer):
    price = MoneyField("offer.supplier.currency")

    class Meta:
        model = PriceBreak
        fields = ["quantity_from", "price"]


class OfferSerializer(ReadSerializer):
    supplier = code_of("supplier")
    part = PartRefSerializer()
    part_type = code_of("part.part_type")
    currency = serializers.CharField(source="supplier.currency")
    price = MoneyField("supplier.currency", help_text="per piece, without tax")
    deposit = MoneyField("supplier.currency", help_text="per piece, returned with the old core")
    breaks = PriceBreakSerializer(many=True, help_text="from this quantity upwards the piece costs this much")

    class Meta:
        model = Offer
        fields = [
            "supplier", "part", "part_type", "supplier_number", "currency", "price", "breaks", "deposit",
            "pack", "minimum_quantity", "lead_days", "valid_from", "valid_until",
        ]  # fmt: skip


class OfferFilter(ApiFilterSet):
    supplier = CodeFilter(Supplier)
    brand = CodeFilter(Brand, field_name="part__brand")
    number = PartNumberFilter("part__normalised")
    part_type = CodeFilter(PartType, field_name="part__part_type")
    currency = BesideText(field_name="supplier__currency", label="ISO 4217")
    blocked = BesideTruth(field_name="supplier__blocked", label="false: only suppliers that may be used")
    supplier_number = PartNumberFilter("supplier_normalised")
    on = DayFilter(method="valid_on", label="valid on this day")

    not_filtered = {"supplier_number": "its normalised form is compared instead, under the same name"}

    class Meta:
        model = Offer
        fields = {
            "price": ["gte", "lte"],
            "deposit": ["gte", "lte"],
            "pack": ["exact"],
            "minimum_quantity": ["exact", "lte"],
            "lead_days": ["exact", "lte"],
            "valid_from": ["exact", "gte", "lte"],
            "valid_until": ["exact", "gte", "lte"],
        }

    def valid_on(self, queryset: QuerySet[Offer], name: str, day: date) -> QuerySet[Offer]:
        return queryset.filter(Q(valid_until__isnull=True) | Q(valid_until__gte=day), valid_from__lte=day)


class OfferView(ListView):
    """Offers with their price breaks. `on` picks those valid on a day.

    Prices are ordered and compared as they stand: give `currency` beside it to compare only like with like.
    """

    queryset = Offer.objects.select_related("supplier", "part__brand", "part__part_type").prefetch_related(
        Prefetch("breaks", PriceBreak.objects.order_by("quantity_from"))
    )
    serializer_class = OfferSerializer
    filterset_class = OfferFilter
    page_key = ("part_id", "price", "id")
    orders = {
        "supplier": "supplier__code", "brand": "part__brand__code", "number": "part__normalised",
        "price": "price", "deposit": "deposit", "pack": "pack", "minimum_quantity": "minimum_quantity",
        "lead_days": "lead_days", "valid_from": "valid_from", "valid_until": "valid_until",
    }  # fmt: skip
    order_within = ("number", "supplier_number")
    reads = {"breaks": ("supplier",)}
