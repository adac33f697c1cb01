"""The shape of what a person sets on a job's price, as the job answers it."""

from rest_framework import serializers

from shop.api.fields import PlainDecimalField


class HandLineSerializer(serializers.Serializer):
    key = serializers.CharField(help_text="also the key of its item")
    group = serializers.CharField()
    category = serializers.CharField()
    text = serializers.CharField()
    reason = serializers.CharField()
    quantity = PlainDecimalField()
    unit_price = PlainDecimalField()
    unit_cost = PlainDecimalField(allow_null=True)


class DiscountSerializer(serializers.Serializer):
    item = serializers.CharField(help_text="empty: the whole document")
    percent = PlainDecimalField(allow_null=True)
    amount = PlainDecimalField(allow_null=True)
    reason = serializers.CharField()


class PaymentSerializer(serializers.Serializer):
    amount = PlainDecimalField()
    received_on = serializers.DateField()
    how = serializers.CharField()
    note = serializers.CharField()
