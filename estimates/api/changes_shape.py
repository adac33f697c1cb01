"""The shape of what a revision changed (estimates.documents.changes) for the OpenAPI document."""

from rest_framework import serializers

from shop.api.fields import PlainDecimalField


class OriginSerializer(serializers.Serializer):
    component = serializers.CharField()
    position = serializers.CharField()


class ChangedSerializer(serializers.Serializer):
    """Net amounts; null where it is not there, `by` null where the currency changed."""

    before = PlainDecimalField(allow_null=True)
    now = PlainDecimalField(allow_null=True)
    by = PlainDecimalField(allow_null=True)


class ChangedLineSerializer(ChangedSerializer):
    what = serializers.CharField(help_text="added, gone or changed")
    text = serializers.CharField()
    quantity_before = serializers.CharField(help_text="pieces or minutes; empty where it is not there")
    quantity_now = serializers.CharField()


class ChangedItemSerializer(ChangedSerializer):
    what = serializers.CharField(help_text="added, gone or changed")
    key = serializers.CharField()
    title = serializers.CharField()
    where = serializers.CharField()
    group_before = serializers.CharField(help_text="firm, contingent, optional; empty where it is not there")
    group_now = serializers.CharField()
    lines = ChangedLineSerializer(many=True)


class ChangedTotalSerializer(ChangedSerializer):
    """With tax."""

    name = serializers.CharField(help_text="firm, ceiling or options")
    without_tax_before = PlainDecimalField()
    without_tax_now = PlainDecimalField()


class ChangesSerializer(serializers.Serializer):
    number = serializers.CharField()
    revision = serializers.IntegerField(help_text="the one it is compared with")
    currency = serializers.CharField(help_text="of that revision")
    valid_until = serializers.DateField(help_text="of that revision")
    same = serializers.IntegerField(help_text="items that did not change")
    items = ChangedItemSerializer(many=True)
    charges = ChangedLineSerializer(many=True, help_text="and allowances, below zero")
    totals = ChangedTotalSerializer(many=True)
