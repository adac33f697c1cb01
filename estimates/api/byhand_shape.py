"""The shape of what a person sets on a job's price, as it is sent and as the job answers it."""

from rest_framework import serializers

from estimates.api.job_file_shape import NumberField
from estimates.api.job_file_shape import text as words
from estimates.rules.byhand_entry import CATEGORIES, GROUPS
from shop.api.fields import PlainDecimalField


class HandLineFileSerializer(serializers.Serializer):
    """A line written by hand; prices without tax."""

    key = words(help_text='begins with "hand:"; the next free one if left out')
    group = serializers.ChoiceField(GROUPS, required=False, help_text="firm if left out")
    category = serializers.ChoiceField(CATEGORIES)
    text = words(True, max_length=200)
    reason = words(max_length=200, help_text="printed under the text")
    quantity = NumberField(required=False, help_text="1 if left out")
    unit_price = NumberField(help_text="of one, without tax, in the decimals of the currency")
    unit_cost = NumberField(required=False, help_text="what the shop pays for one; never printed")


class DiscountFileSerializer(serializers.Serializer):
    """Either a percentage or an amount."""

    item = words(help_text="the item's key; the whole document if left out")
    percent = NumberField(required=False, help_text="above 0, at most 100")
    amount = NumberField(required=False, help_text="without tax")
    reason = words(True, max_length=200, help_text="printed")


class PaymentFileSerializer(serializers.Serializer):
    """Money received in advance."""

    amount = NumberField(help_text="negative for what was given back")
    how = words(True, max_length=60, help_text="like cash, card, transfer")
    received_on = serializers.DateField(required=False, help_text="today if left out")
    note = words(max_length=200, help_text="never printed")


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
