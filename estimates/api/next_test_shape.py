"""The shape of the advice on what to test next for the OpenAPI document; a test holds answers against it."""

from rest_framework import serializers

from shop.api.fields import PlainDecimalField

CHANCE = "a fraction of 1"


class ComponentAtSerializer(serializers.Serializer):
    component = serializers.CharField()
    position = serializers.CharField()


class SuspectSerializer(ComponentAtSerializer):
    name = serializers.CharField()
    where = serializers.CharField(help_text="the position in words; empty for the engine")
    chance = PlainDecimalField(help_text=CHANCE)
    likelihood = PlainDecimalField(help_text="relative, as on record: 10 fails ten times as often as 1")


class QuotedSerializer(serializers.Serializer):
    """A repair at one place."""

    operation = serializers.CharField(help_text="its code; the component's where no operation repairs it")
    title = serializers.CharField()
    position = serializers.CharField()
    where = serializers.CharField()


class SettlesSerializer(serializers.Serializer):
    """What one outcome of a test would settle."""

    chance = PlainDecimalField(help_text=CHANCE)
    settles = serializers.CharField(help_text="in words")
    confirmed = ComponentAtSerializer(many=True, help_text="newly proved at fault")
    sound = ComponentAtSerializer(many=True, help_text="newly proved good")
    not_needed = ComponentAtSerializer(many=True, help_text="accounted for by others")
    suspected = ComponentAtSerializer(many=True, help_text="what would be suspected then")
    firm = QuotedSerializer(many=True, help_text="repairs that would become due")
    dropped = QuotedSerializer(many=True, help_text="repairs that would no longer be quoted")
    added = QuotedSerializer(many=True, help_text="repairs that would be quoted only if found on opening")


class OpensSerializer(serializers.Serializer):
    step = serializers.CharField(help_text="the access step's code")
    name = serializers.CharField()
    where = serializers.CharField()
    minutes = serializers.IntegerField()


class UsesSerializer(serializers.Serializer):
    part_type = serializers.CharField()
    name = serializers.CharField()
    quantity = serializers.IntegerField()
    position = serializers.CharField()
    where = serializers.CharField()


class NextTestSerializer(serializers.Serializer):
    test_point = serializers.CharField()
    name = serializers.CharField()
    position = serializers.CharField()
    where = serializers.CharField()
    also_at = serializers.ListField(
        child=serializers.CharField(), help_text="positions where it would tell as much in the same time"
    )
    instruction = serializers.CharField()
    minutes = serializers.IntegerField(help_text="those of the access not yet open included")
    opens = OpensSerializer(many=True, help_text="access not yet open, in order")
    uses = UsesSerializer(many=True, help_text="parts that opening it uses up")
    adds_minutes = serializers.IntegerField(
        help_text="what it adds to the firm work, which may open some of the access in any case"
    )
    shared_minutes = serializers.IntegerField(
        help_text="of the access it opens, which the repair then due needs too, whichever way it comes out"
    )
    price = PlainDecimalField(help_text="labour that it adds to the firm total, without tax")
    bits = PlainDecimalField(help_text="entropy it removes on average")
    bits_per_minute = PlainDecimalField()
    good = SettlesSerializer()
    bad = SettlesSerializer()
    cautions = serializers.ListField(child=serializers.CharField())


class AdviceSerializer(serializers.Serializer):
    """The best tests by entropy removed per minute (de Kleer and Williams 1987), or why there is none."""

    verdict = serializers.ChoiceField(["test", "enough", "no test left", "measure again"])
    reason = serializers.CharField()
    assumptions = serializers.ListField(child=serializers.CharField())
    currency = serializers.CharField(help_text="ISO 4217")
    bits = PlainDecimalField(help_text="entropy of the diagnoses now")
    tests = NextTestSerializer(many=True, help_text="at most three, the best first")
    suspects = SuspectSerializer(many=True, help_text="the likeliest first")
    measure_again = serializers.ListField(
        child=serializers.CharField(), help_text="readings too close to call that would tell something"
    )
