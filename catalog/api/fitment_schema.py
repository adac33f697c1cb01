"""The shape of fitment checks for the OpenAPI document. Reading and writing them is done by hand, for speed;
a test holds the answers against what is documented here."""

from rest_framework import serializers


def alike_counted() -> serializers.ListField:
    """The member `by_interchange`: labels of parts."""
    return serializers.ListField(
        child=serializers.CharField(),
        help_text="parts that serve alike and whose applications were counted; empty where its own were",
    )


class PartNamedSerializer(serializers.Serializer):
    brand = serializers.CharField(help_text="the brand's code")
    number = serializers.CharField(help_text="in any spelling")


class FitmentCheckSerializer(serializers.Serializer):
    part = PartNamedSerializer(required=False, help_text="this or part_type")
    part_type = serializers.CharField(
        required=False, help_text="asks for every part of the type that the family's applications speak of"
    )
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
        required=False, min_value=1, max_value=10_000, help_text="meant for one position, to be compared"
    )


class FitmentQuestionSerializer(serializers.Serializer):
    checks = serializers.ListField(child=FitmentCheckSerializer(), min_length=1, max_length=1000)
    on = serializers.DateField(required=False, help_text="the day for replacements; today unless given")


class JudgedPartSerializer(PartNamedSerializer):
    part_type = serializers.CharField()


class MissingFactSerializer(serializers.Serializer):
    fact = serializers.CharField(help_text="serial, built or option:CODE")
    text = serializers.CharField()


class CurrentPartSerializer(PartNamedSerializer):
    quantity = serializers.IntegerField(help_text="for one of the old part")


class VerdictSerializer(serializers.Serializer):
    part = JudgedPartSerializer()
    verdict = serializers.ChoiceField(choices=["fits", "does not fit", "cannot tell"])
    sentence = serializers.CharField()
    reasons = serializers.ListField(child=serializers.CharField())
    missing = MissingFactSerializer(many=True, help_text="the fewest facts that would decide it")
    fits_if = serializers.CharField(help_text="what to tell a customer while it cannot be told; else empty")
    by_interchange = alike_counted()
    quantity = serializers.IntegerField(allow_null=True, help_text="per position, of a part that fits")
    quantity_agrees = serializers.BooleanField(
        allow_null=True, help_text="null where one of the two is not known"
    )
    replaced_by = serializers.ListField(
        child=CurrentPartSerializer(many=True),
        help_text="the current parts: one of the lists, and of that list everything",
    )


class FitmentResultSerializer(serializers.Serializer):
    index = serializers.IntegerField()
    family = serializers.CharField()
    verdicts = VerdictSerializer(many=True, help_text="one for a part, any number for a part type")


class FitmentAnswerSerializer(serializers.Serializer):
    results = FitmentResultSerializer(many=True)
