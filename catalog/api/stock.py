"""What lies on the shop's own shelf, and what was paid for it."""

from catalog.api.common import Contains, PartNumberFilter, PartRefSerializer
from catalog.models import Brand, Stock
from shop.api.fields import MoneyField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter
from shop.api.views import ListView


class StockSerializer(ReadSerializer):
    part = PartRefSerializer()
    unit_cost = MoneyField("currency", help_text="per piece, without tax")

    class Meta:
        model = Stock
        fields = ["part", "quantity", "unit_cost", "currency", "place"]


class StockFilter(ApiFilterSet):
    brand = CodeFilter(Brand, field_name="part__brand")
    number = PartNumberFilter("part__normalised")
    place = Contains()

    class Meta:
        model = Stock
        fields = {
            "quantity": ["exact", "gte", "lte"],
            "unit_cost": ["gte", "lte"],
            "currency": ["exact"],
        }


class StockView(ListView):
    """Parts on the shop's own shelf."""

    queryset = Stock.objects.select_related("part__brand")
    serializer_class = StockSerializer
    filterset_class = StockFilter
    page_key = ("part_id",)
    orders = {
        "brand": "part__brand__code", "number": "part__normalised", "quantity": "quantity",
        "unit_cost": "unit_cost", "place": "place",
    }  # fmt: skip
    order_within = ("number",)
