"""The shapes of choices, decisions, private links and what waits, for the OpenAPI document."""

from rest_framework import serializers

from estimates.api.document_shape import TaxSerializer
from shop.api.fields import PlainDecimalField


class ChoiceFileSerializer(serializers.Serializer):
    accepted = serializers.ListField(
        child=serializers.CharField(), help_text="keys of the items agreed to; the rest is left out"
    )


class ChoiceSerializer(serializers.Serializer):
    """Amounts with tax unless they say otherwise."""

    currency = serializers.CharField(help_text="ISO 4217")
    accepted = serializers.ListField(child=serializers.CharField(), help_text="in the document's order")
    sure = PlainDecimalField(help_text="without what is done only if it is found")
    agreed = PlainDecimalField(help_text="everything agreed to")
    agreed_without_tax = PlainDecimalField()
    ceiling = PlainDecimalField(help_text="with all that may be found on the way; to be asked again for")
    tax = TaxSerializer(many=True, help_text="of what was agreed to; empty where the document cannot say")


class DecisionFileSerializer(ChoiceFileSerializer):
    sha256 = serializers.CharField(help_text="of the document that was decided on")
    name = serializers.CharField(help_text="of whoever decided")
    note = serializers.CharField(required=False)


class DecidedItemSerializer(serializers.Serializer):
    key = serializers.CharField()
    group = serializers.CharField(help_text="firm, contingent or optional")
    title = serializers.CharField()
    where = serializers.CharField()
    accepted = serializers.BooleanField()


class DecisionSerializer(serializers.Serializer):
    """A decision as its receipt states it."""

    number = serializers.CharField()
    revision = serializers.IntegerField()
    sha256 = serializers.CharField(help_text="of the document it is bound to")
    state = serializers.CharField(help_text="accepted, partly accepted or declined")
    decided_at = serializers.DateTimeField()
    name = serializers.CharField()
    way = serializers.CharField(help_text="link or desk")
    recorded_by = serializers.CharField(allow_null=True)
    note = serializers.CharField()
    currency = serializers.CharField()
    items = DecidedItemSerializer(many=True)
    sure = PlainDecimalField()
    authorised = PlainDecimalField(help_text="everything agreed to, with tax")
    authorised_without_tax = PlainDecimalField()
    ceiling = PlainDecimalField()


class DecisionsSerializer(serializers.Serializer):
    decisions = DecisionSerializer(many=True, help_text="the latest first; it counts")


class LinkSerializer(serializers.Serializer):
    id = serializers.IntegerField()
    made_at = serializers.DateTimeField()
    made_by = serializers.CharField(allow_null=True)
    revoked_at = serializers.DateTimeField(allow_null=True)


class NewLinkSerializer(LinkSerializer):
    address = serializers.CharField(help_text="for the customer; told this once, kept nowhere")


class LinksSerializer(serializers.Serializer):
    links = LinkSerializer(many=True, help_text="the latest first")


class AuthorisedSerializer(serializers.Serializer):
    """Totals are null where nothing is authorised."""

    may_go_on = serializers.BooleanField(help_text="whether buying and closing may go on")
    reason = serializers.CharField()
    currency = serializers.CharField(help_text="empty where nothing is authorised")
    before_tax = serializers.BooleanField(help_text="whether totals are compared without tax")
    authorised = PlainDecimalField(allow_null=True, help_text="of the work as it now is")
    tolerance = PlainDecimalField(allow_null=True)
    tolerance_in_words = serializers.CharField()
    most = PlainDecimalField(allow_null=True)
    now = PlainDecimalField(allow_null=True, help_text="what the work now comes to")
    over = PlainDecimalField(allow_null=True)


class WaitingSerializer(serializers.Serializer):
    id = serializers.IntegerField()
    component = serializers.CharField()
    position = serializers.CharField()
    quantity = serializers.IntegerField()
    why = serializers.CharField(help_text="declined or advisory")
    reason = serializers.CharField()
    from_job = serializers.CharField()
    noted_at = serializers.DateTimeField()
    added = PlainDecimalField(allow_null=True, help_text="what it would have added then, with tax")
    found_again = serializers.BooleanField(help_text="it is a finding of this job already")
    now = PlainDecimalField(allow_null=True, help_text="what it adds to this job, with tax")
    later = PlainDecimalField(allow_null=True, help_text="on a visit of its own, with tax")
    saving = PlainDecimalField(allow_null=True, help_text="null where this job opens no access to it")
    shared_access = serializers.ListField(child=serializers.CharField())


class LaterSerializer(serializers.Serializer):
    waiting = WaitingSerializer(many=True, help_text="on the job's unit, the oldest first")
