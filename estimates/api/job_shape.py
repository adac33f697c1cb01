"""The shape of a job's answer for the OpenAPI document; a test holds the answers against it."""

from rest_framework import serializers

from estimates.api.byhand_shape import DiscountSerializer, HandLineSerializer, PaymentSerializer
from estimates.api.estimate_rows import EstimateSerializer
from shop.api.fields import PlainDecimalField


class CustomerSerializer(serializers.Serializer):
    number = serializers.CharField()
    name = serializers.CharField()
    address = serializers.CharField()
    email = serializers.CharField()
    phone = serializers.CharField()


class UnitSerializer(serializers.Serializer):
    """Empty text is not known."""

    number = serializers.CharField()
    name = serializers.CharField(help_text="what its owner calls it")
    family = serializers.CharField(help_text="the engine family's code")
    built = serializers.CharField(help_text="2014, 2014-06 or 2014-06-03; else see the days")
    built_from = serializers.DateField(allow_null=True, help_text="earliest possible day")
    built_until = serializers.DateField(allow_null=True, help_text="latest possible day")
    serial = serializers.CharField(help_text="of the engine")
    options = serializers.DictField(child=serializers.CharField(), help_text="those that are known, by code")
    road_use = serializers.CharField(help_text="yes, no or unknown")
    registration = serializers.CharField()
    vin = serializers.CharField()


class MeterAccuracySerializer(serializers.Serializer):
    zero = PlainDecimalField(help_text="what the meter shows with its leads together")
    accuracy_percent = PlainDecimalField(help_text="of the reading")
    accuracy_counts = serializers.IntegerField()
    resolution = PlainDecimalField(help_text="what one count is worth")


class JudgementSerializer(serializers.Serializer):
    """A reading at one place with its judgement, after ISO 14253-1."""

    position = serializers.CharField()
    where = serializers.CharField(help_text="the position in words")
    kind = serializers.CharField(help_text="number, open (circuit), on or off (a lamp)")
    shown = serializers.CharField(help_text="as it was read, in words")
    corrected = PlainDecimalField(
        allow_null=True, help_text="less the meter's zero, at the reference temperature"
    )
    uncertainty = PlainDecimalField(allow_null=True)
    outcome = serializers.CharField(help_text="good, bad or unclear")
    reason = serializers.CharField()


class TakenReadingSerializer(JudgementSerializer):
    test_point = serializers.CharField()
    name = serializers.CharField(help_text="of the test point")
    phase = serializers.CharField(help_text="before or after the repair")
    value = PlainDecimalField(allow_null=True, help_text="null unless a number was read")
    unit = serializers.CharField(help_text="UCUM; empty for a lamp")
    temperature = PlainDecimalField(allow_null=True, help_text="degrees Celsius")
    meter = MeterAccuracySerializer()
    taken_at = serializers.DateTimeField()
    taken_by = serializers.CharField(allow_null=True)


class FindingSerializer(serializers.Serializer):
    component = serializers.CharField()
    name = serializers.CharField()
    position = serializers.CharField()
    where = serializers.CharField(help_text="the position in words; empty for the engine")
    standing = serializers.CharField(help_text="confirmed, suspected or advisory; a person's word goes first")
    computed = serializers.CharField(
        allow_null=True, help_text="what the readings say: confirmed, suspected, null"
    )
    by_person = serializers.BooleanField()
    quantity = serializers.IntegerField(help_text="pieces")
    reasons = serializers.ListField(child=serializers.CharField(), help_text="a person's first")


class FactorSerializer(serializers.Serializer):
    """Teardown that takes longer on this machine."""

    step = serializers.CharField(help_text="the access step's code")
    position = serializers.CharField(allow_null=True, help_text="null: wherever the step is done")
    factor = PlainDecimalField(help_text="times the step's minutes")
    reason = serializers.CharField()


class JobSerializer(serializers.Serializer):
    number = serializers.CharField()
    version = serializers.IntegerField(help_text="counts every change")
    opened_on = serializers.DateField()
    complaint = serializers.CharField()
    writer = serializers.CharField(allow_null=True)
    customer = CustomerSerializer()
    unit = UnitSerializer()
    readings = TakenReadingSerializer(many=True)
    findings = FindingSerializer(many=True, help_text="computed from the readings, made by a person, or both")
    contradictions = serializers.ListField(
        child=serializers.CharField(), help_text="readings that cannot all be true"
    )
    included = serializers.ListField(
        child=serializers.CharField(), help_text="items taken into the firm price, by key"
    )
    factors = FactorSerializer(many=True, help_text="what takes longer on this machine")
    hand_lines = HandLineSerializer(many=True)
    discounts = DiscountSerializer(many=True)
    payments = PaymentSerializer(many=True, help_text="received in advance")
    estimates = EstimateSerializer(many=True, help_text="what was issued")
