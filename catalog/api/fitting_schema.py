"""The shape of fitting-parts for the OpenAPI document; the answer itself is written by hand, for speed."""

from rest_framework import serializers

from catalog.api.fitment_schema import MissingFactSerializer, alike_counted
from catalog.models import Part
from shop.api.fields import PlainDecimalField


class FittingQuestionSerializer(serializers.Serializer):
    part_type = serializers.CharField()
    family = serializers.CharField()
    position = serializers.CharField(
        required=False, help_text="a position's code; left out: anywhere on the engine"
    )
    built = serializers.CharField(required=False, help_text="2014, 2014-06 or 2014-06-03; empty: not known")
    serial = serializers.CharField(required=False, help_text="empty: not known")
    options = serializers.DictField(
        child=serializers.CharField(), required=False, help_text="as far as known"
    )
    quantity = serializers.IntegerField(
        required=False, min_value=1, max_value=10_000, help_text="pieces to be bought of each; 1 unless given"
    )
    on = serializers.DateField(required=False, help_text="the day for offers; today unless given")


class FoundPartSerializer(serializers.Serializer):
    brand = serializers.CharField(help_text="the brand's code")
    brand_name = serializers.CharField()
    number = serializers.CharField(help_text="in the brand's own spelling")
    description = serializers.CharField()
    grade = serializers.ChoiceField(choices=Part.Grade.choices)


class CheapestOfferSerializer(serializers.Serializer):
    """The cheapest of its currency for the pieces asked for, without tax and freight."""

    supplier = serializers.CharField(help_text="the supplier's code")
    supplier_name = serializers.CharField()
    currency = serializers.CharField(help_text="ISO 4217")
    pieces = serializers.IntegerField(help_text="what has to be ordered, in whole packs")
    each = PlainDecimalField()
    cost = PlainDecimalField(help_text="of all pieces")
    deposit = PlainDecimalField(help_text="of all pieces")
    lead_days = serializers.IntegerField()
    valid_until = serializers.DateField(allow_null=True)


class FittingPartSerializer(serializers.Serializer):
    part = FoundPartSerializer()
    quantity = serializers.IntegerField(
        allow_null=True, help_text="per position; null where the applications give several"
    )
    by_interchange = alike_counted()
    offers = CheapestOfferSerializer(many=True, help_text="one of each currency; amounts are not converted")


class UndecidedPartSerializer(serializers.Serializer):
    part = FoundPartSerializer()
    sentence = serializers.CharField()
    fits_if = serializers.CharField(help_text="what to tell a customer meanwhile")
    by_interchange = alike_counted()
    missing = MissingFactSerializer(many=True, help_text="the fewest facts that would decide it")


class FittingAnswerSerializer(serializers.Serializer):
    family = serializers.CharField()
    part_type = serializers.CharField()
    on = serializers.DateField()
    fitting = FittingPartSerializer(many=True, help_text="why a part fits is answered by fitment-checks/")
    undecided = UndecidedPartSerializer(many=True)
