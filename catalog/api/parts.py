"""Parts: what they are, who makes them, which of them serve alike."""

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from catalog.api.common import CodeNameSerializer, Contains, PartNumberFilter, PartRefSerializer, code_of
from catalog.models import Brand, InterchangeGroup, InterchangeMember, Part, PartType, Replacement
from catalog.rules.partnumber import normalise
from shop.api.fields import MoneyField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter
from shop.api.views import ReadView


class PartTypeSerializer(ReadSerializer):
    class Meta:
        model = PartType
        fields = ["code", "name", "plural", "controls"]


class PartTypeFilter(ApiFilterSet):
    name = Contains()
    plural = Contains()

    class Meta:
        model = PartType
        fields = ["code", "name", "plural", "controls"]


class PartTypeView(ReadView):
    """What parts are, independent of who makes them."""

    queryset = PartType.objects.all()
    serializer_class = PartTypeSerializer
    filterset_class = PartTypeFilter
    page_key = ("code",)
    orders = {"code": "code", "name": "name"}


class BrandFilter(ApiFilterSet):
    name = Contains()

    class Meta:
        model = Brand
        fields = ["code", "name"]


class BrandView(ReadView):
    """Brands that number parts."""

    queryset = Brand.objects.all()
    serializer_class = CodeNameSerializer
    filterset_class = BrandFilter
    page_key = ("code",)
    orders = {"code": "code", "name": "name"}


class PartSerializer(ReadSerializer):
    brand = code_of("brand")
    brand_name = serializers.CharField(source="brand.name")
    part_type = code_of("part_type")
    list_price = MoneyField("list_currency", allow_null=True, help_text="per piece, without tax")
    interchange_group = code_of("interchange.group", allow_null=True)

    class Meta:
        model = Part
        fields = [
            "brand", "brand_name", "number", "normalised", "part_type", "description", "grade", "gtin",
            "list_price", "list_currency", "interchange_group",
        ]  # fmt: skip


class SuccessorSerializer(ReadSerializer):
    part = PartRefSerializer(source="new")

    class Meta:
        model = Replacement
        fields = ["part", "choice", "quantity", "both_ways", "valid_from"]


class PredecessorSerializer(SuccessorSerializer):
    part = PartRefSerializer(source="old")


class PartDetailSerializer(PartSerializer):
    replaced_by = SuccessorSerializer(many=True, help_text="parts of one choice number are needed together")
    replaces = PredecessorSerializer(many=True)
    serves_alike = serializers.SerializerMethodField(help_text="the other parts of its interchange group")

    class Meta(PartSerializer.Meta):
        fields = [*PartSerializer.Meta.fields, "replaced_by", "replaces", "serves_alike"]

    @extend_schema_field(PartRefSerializer(many=True))
    def get_serves_alike(self, part: Part) -> list[dict[str, str]]:
        member = getattr(part, "interchange", None)
        others = member.group.members.all() if member else ()
        return [
            {"brand": other.part.brand.code, "number": other.part.number}
            for other in others
            if other.part_id != part.pk
        ]


class PartFilter(ApiFilterSet):
    brand = CodeFilter(Brand)
    number = PartNumberFilter()
    number_starts = PartNumberFilter(lookup_expr="startswith")
    part_type = CodeFilter(PartType)
    description = Contains()
    interchange_group = CodeFilter(InterchangeGroup, field_name="interchange__group")

    not_filtered = {"number": "the filter number compares the normalised form"}

    class Meta:
        model = Part
        fields = {
            "grade": ["exact"],
            "gtin": ["exact"],
            "list_price": ["gte", "lte"],
            "list_currency": ["exact"],
        }


class PartView(ReadView):
    """Parts. A single one is found by brand and number, the number in any spelling."""

    queryset = Part.objects.select_related("brand", "part_type", "interchange__group")
    serializer_class = PartSerializer
    filterset_class = PartFilter
    page_key = ("brand_id", "normalised")
    orders = {
        "brand": "brand__code", "number": "normalised", "part_type": "part_type__code", "grade": "grade",
        "list_price": "list_price",
    }  # fmt: skip
    order_within = ("brand", "part_type", "number", "number_starts", "gtin", "interchange_group")
    reads = {"interchange_group": ("interchange",), "serves_alike": ("interchange",)}
    lookup = {"brand": "brand__code", "number": "normalised"}

    def get_queryset(self) -> QuerySet[Part]:
        if self.action != "retrieve":
            return super().get_queryset()
        members = InterchangeMember.objects.select_related("part__brand")
        return (
            super()
            .get_queryset()
            .prefetch_related(
                Prefetch("replaced_by", Replacement.objects.select_related("new__brand")),
                Prefetch("replaces", Replacement.objects.select_related("old__brand")),
                Prefetch("interchange__group__members", members),
            )
        )

    def get_serializer_class(self) -> type[PartSerializer]:
        return PartDetailSerializer if self.action == "retrieve" else PartSerializer

    def natural_key(self) -> dict[str, str]:
        key = super().natural_key()
        return {**key, "normalised": normalise(key["normalised"])}
