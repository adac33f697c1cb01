"""Which part serves which engine family, and what replaced what."""

from django.db.models import Prefetch
from rest_framework import serializers

from catalog.api.common import BesideText, Contains, PartNumberFilter, PartRefSerializer, Within, code_of
from catalog.models import (
    Application,
    ApplicationOption,
    Brand,
    EngineFamily,
    PartType,
    Replacement,
)
from shop.api.fields import ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter, TruthFilter
from shop.api.views import ListView


class ApplicationSerializer(ReadSerializer):
    part = PartRefSerializer()
    part_type = code_of("part_type")
    family = code_of("family")
    position = code_of("position", allow_null=True, help_text="only here; null: every position of the scope")
    options = serializers.SerializerMethodField(help_text="option code to the value it must have")

    class Meta:
        model = Application
        fields = [
            "part", "part_type", "family", "ordinal", "polarity", "scope", "position", "quantity",
            "built_from", "built_until", "serial_from", "serial_until", "options", "note",
        ]  # fmt: skip

    def get_options(self, application: Application) -> dict[str, str]:
        return {row.option.code: row.value for row in application.options.all()}


class ApplicationFilter(ApiFilterSet):
    brand = CodeFilter(Brand, field_name="part__brand")
    number = PartNumberFilter("part__normalised")
    part_type = CodeFilter(PartType)
    family = CodeFilter(EngineFamily)
    position = BesideText(field_name="position__code", label="a position's code")
    everywhere = TruthFilter(
        field_name="position", lookup_expr="isnull", label="true: for every position of the scope"
    )
    note = Contains()
    option = Within("options__option__code", "an option's code: the rule depends on it")

    class Meta:
        model = Application
        fields = {
            "ordinal": ["exact"],
            "polarity": ["exact"],
            "scope": ["exact"],
            "quantity": ["exact"],
            "built_from": ["exact", "gte", "lte"],
            "built_until": ["exact", "gte", "lte"],
            "serial_from": ["exact"],
            "serial_until": ["exact"],
        }


class ApplicationView(ListView):
    """Rules that say which part serves which engine family, where, how many, under which conditions.

    Whether a part fits one engine is asked of fitment-checks, which weighs these rules.
    """

    queryset = Application.objects.select_related(
        "part__brand", "part_type", "family", "position"
    ).prefetch_related(
        Prefetch("options", ApplicationOption.objects.select_related("option").order_by("option__code"))
    )
    serializer_class = ApplicationSerializer
    filterset_class = ApplicationFilter
    page_key = ("family_id", "part_type_id", "part_id", "ordinal")
    orders = {
        "family": "family__code", "part_type": "part_type__code", "brand": "part__brand__code",
        "number": "part__normalised", "quantity": "quantity", "built_from": "built_from",
        "built_until": "built_until",
    }  # fmt: skip
    order_within = ("family", "number")


class ReplacementSerializer(ReadSerializer):
    old = PartRefSerializer()
    new = PartRefSerializer()

    class Meta:
        model = Replacement
        fields = ["old", "new", "choice", "quantity", "both_ways", "valid_from"]


class ReplacementFilter(ApiFilterSet):
    old_brand = CodeFilter(Brand, field_name="old__brand")
    old_number = PartNumberFilter("old__normalised")
    new_brand = CodeFilter(Brand, field_name="new__brand")
    new_number = PartNumberFilter("new__normalised")

    class Meta:
        model = Replacement
        fields = {
            "choice": ["exact"],
            "quantity": ["exact"],
            "both_ways": ["exact"],
            "valid_from": ["exact", "gte", "lte"],
        }


class ReplacementView(ListView):
    """What replaced what. Rows of one part and one choice number are needed together."""

    queryset = Replacement.objects.select_related("old__brand", "new__brand")
    serializer_class = ReplacementSerializer
    filterset_class = ReplacementFilter
    page_key = ("old_id", "choice", "new_id")
    orders = {
        "old_brand": "old__brand__code", "old_number": "old__normalised", "new_brand": "new__brand__code",
        "new_number": "new__normalised", "valid_from": "valid_from",
    }  # fmt: skip
    order_within = ("old_brand", "old_number", "new_brand", "new_number")
