"""The shape of a job file for the OpenAPI document. It is read by estimates.jobfile, which says what is wrong
in it; numbers may come as text or as JSON numbers, and both are taken exactly."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from estimates.rules.byhand_entry import CATEGORIES, GROUPS
from shop.api.fields import DECIMAL_PATTERN

NUMBER = {
    "oneOf": [{"type": "string", "pattern": DECIMAL_PATTERN}, {"type": "integer"}],
    "description": 'a plain number, like "0.9"',
}


@extend_schema_field(NUMBER)
class NumberField(serializers.Field):
    """Text, best: a JSON number with a fraction is taken as it is written, too."""


@extend_schema_field({"type": "string"})
class ReadValueField(serializers.Field):
    """A number as text, or a word."""


def text(required: bool = False, **kwargs: object) -> serializers.CharField:
    return serializers.CharField(required=required, **kwargs)  # type: ignore[arg-type]


class MeterFileSerializer(serializers.Serializer):
    accuracy_percent = NumberField(required=False)
    accuracy_counts = serializers.IntegerField(required=False, min_value=0, max_value=1000)
    resolution = NumberField(required=False)
    zero = NumberField(required=False)


class ReadingFileSerializer(MeterFileSerializer):
    test_point = text(True)
    position = text(help_text="a position of the test point's scope; the engine goes without saying")
    value = ReadValueField(help_text="0.97, or open, on, off")
    unit = text(help_text="the test point's own, if given")
    temperature = NumberField(required=False)
    phase = text(help_text="before (unless given) or after the repair")


class ReadingsFileSerializer(serializers.Serializer):
    readings = ReadingFileSerializer(many=True)
    meter = MeterFileSerializer(required=False, help_text="for readings that state none of their own")


class FindingFileSerializer(serializers.Serializer):
    component = text(True)
    position = text()
    standing = text(True, help_text="confirmed, suspected or advisory")
    quantity = serializers.IntegerField(required=False, min_value=1, max_value=1000)
    reason = text(True, max_length=300, help_text="what was seen, in words")


class CustomerFileSerializer(serializers.Serializer):
    number = text(max_length=20, help_text="of a customer on record; a new one is numbered if left out")
    name = text(True, max_length=120)
    address = text(max_length=500)
    email = text(max_length=254)
    phone = text(max_length=60)


class UnitFactsSerializer(serializers.Serializer):
    """What is known of a unit; empty text or null is not known."""

    name = text(max_length=120)
    built = text(help_text="2014, 2014-06 or 2014-06-03")
    serial = text(max_length=40)
    options = serializers.DictField(child=serializers.CharField(allow_blank=True), required=False)
    road_use = text(help_text="yes, no or unknown")
    registration = text(max_length=40)
    vin = text(max_length=17)


class UnitFileSerializer(UnitFactsSerializer):
    name = text(True, max_length=120)
    family = text(True)


class FactorFileSerializer(serializers.Serializer):
    """Teardown that takes longer on this machine."""

    step = text(True, help_text="an access step's code")
    position = text(help_text="where; everywhere if left out")
    factor = NumberField(help_text="1 to 10, times the step's minutes")
    reason = text(True, max_length=200, help_text="printed on the estimate")


class HandLineFileSerializer(serializers.Serializer):
    """A line written by hand; prices without tax."""

    key = text(help_text='begins with "hand:"; the next free one if left out')
    group = serializers.ChoiceField(GROUPS, required=False, help_text="firm if left out")
    category = serializers.ChoiceField(CATEGORIES)
    reason = text(max_length=200, help_text="printed under the text")
    quantity = NumberField(required=False, help_text="1 if left out")
    unit_price = NumberField(help_text="of one, without tax, in the decimals of the currency")
    unit_cost = NumberField(required=False, help_text="what the shop pays for one; never printed")
    text = text(True, max_length=200)


class DiscountFileSerializer(serializers.Serializer):
    """Either a percentage or an amount."""

    item = text(help_text="the item's key; the whole document if left out")
    percent = NumberField(required=False, help_text="above 0, at most 100")
    amount = NumberField(required=False, help_text="without tax")
    reason = text(True, max_length=200, help_text="printed")


class PaymentFileSerializer(serializers.Serializer):
    """Money received in advance."""

    amount = NumberField(help_text="negative for what was given back")
    how = text(True, max_length=60, help_text="like cash, card, transfer")
    received_on = serializers.DateField(required=False, help_text="today if left out")
    note = text(max_length=200, help_text="never printed")


class JobFileSerializer(serializers.Serializer):
    number = text(max_length=20, help_text="numbered by the workshop if left out")
    opened_on = serializers.DateField(required=False, help_text="today if left out")
    complaint = text(True, max_length=4000)
    customer = CustomerFileSerializer(required=False, help_text="a job that is kept needs one")
    unit = UnitFileSerializer()
    meter = MeterFileSerializer(required=False)
    readings = ReadingFileSerializer(many=True, required=False)
    findings = FindingFileSerializer(many=True, required=False)
    include = serializers.ListField(
        child=serializers.CharField(), required=False, help_text="items to take into the firm price, by key"
    )
    factors = FactorFileSerializer(many=True, required=False)
    lines = HandLineFileSerializer(many=True, required=False, help_text="written by hand")
    discounts = DiscountFileSerializer(many=True, required=False)
    payments = PaymentFileSerializer(many=True, required=False, help_text="received in advance")


class IncludedSerializer(serializers.Serializer):
    included = serializers.BooleanField()
