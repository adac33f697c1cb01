"""The shapes of buying, of the work, of the closing statement and of the shop's history, for the OpenAPI
document; a test holds answers against them."""

from rest_framework import serializers

from estimates.api.document_shape import (
    JobInDocumentSerializer,
    ReadingsOfTestSerializer,
    TaxSerializer,
    UnitInDocumentSerializer,
    WorkshopInDocumentSerializer,
)
from estimates.api.job_shape import CustomerSerializer
from shop.api.fields import PlainDecimalField


def text(help_text: str = "", **kwargs: object) -> serializers.CharField:
    return serializers.CharField(help_text=help_text, **kwargs)  # type: ignore[arg-type]


def whole(help_text: str = "", **kwargs: object) -> serializers.IntegerField:
    return serializers.IntegerField(help_text=help_text, **kwargs)  # type: ignore[arg-type]


def amount(help_text: str = "", **kwargs: object) -> PlainDecimalField:
    return PlainDecimalField(help_text=help_text, **kwargs)


# Buying


class PurchaseListLineSerializer(serializers.Serializer):
    brand = text("the brand's code")
    number = text()
    label = text("brand and number, in words")  # type: ignore[assignment]
    name = text("the part type")
    supplier_number = text()
    needed = whole("pieces that are needed for sure")
    ordered = whole("pieces on orders of this job")
    to_order = whole("what is left, as it can be ordered")
    if_found = whole("more pieces only if found on opening")
    unit_cost = amount("without tax", allow_null=True)
    deposit = amount("per piece")
    expected_on = serializers.DateField(allow_null=True, help_text="if it is ordered today")
    purpose = serializers.ListField(child=serializers.CharField(), help_text="the items it is for")


class SupplierListSerializer(serializers.Serializer):
    supplier = text("code; empty: the shop's own shelf; null: nobody to order from yet", allow_null=True)
    name = text()
    email = text()
    phone = text()
    lines = PurchaseListLineSerializer(many=True)


class ReceiptSerializer(serializers.Serializer):
    quantity = whole()
    received_at = serializers.DateTimeField()
    received_by = text(allow_null=True)
    wrong = text("what is wrong with these pieces, which then stay missing; empty where nothing is")


class OrderLineSerializer(serializers.Serializer):
    line = whole("names this line when parts come")
    brand = text()
    number = text()
    label = text()  # type: ignore[assignment]
    name = text()
    supplier_number = text()
    quantity = whole()
    unit_cost = amount()
    deposit = amount()
    expected_on = serializers.DateField(allow_null=True)
    received = whole("pieces here that are right")
    missing = whole()
    overdue_days = whole("days since it was expected; 0 while it is not late")
    receipts = ReceiptSerializer(many=True)


class OrderSerializer(serializers.Serializer):
    number = text()
    supplier = text("code; null: from the shop's own shelf", allow_null=True)
    name = text()
    ordered_on = serializers.DateField()
    ordered_by = text(allow_null=True)
    freight = amount()
    lines = OrderLineSerializer(many=True)


class PurchaseListSerializer(serializers.Serializer):
    """What to buy from whom: the shop's own knowledge, with costs."""

    format = text()
    job = text()
    printed_on = serializers.DateField()
    demonstration = serializers.BooleanField()
    currency = text()
    estimate = text()
    revision = whole()
    decided = serializers.BooleanField(help_text="false: the firm items stand in until the customer decides")
    needed_by = serializers.DateField(allow_null=True)
    suppliers = SupplierListSerializer(many=True)
    orders = OrderSerializer(many=True)


class OrderedPartFileSerializer(serializers.Serializer):
    part = text("brand/number")
    quantity = whole(min_value=1, max_value=9999)
    unit_cost = amount("without tax")
    deposit = amount("per piece", required=False)
    supplier_number = text(required=False, allow_blank=True, max_length=60)
    expected_on = serializers.DateField(required=False, allow_null=True)


class OrderFileSerializer(serializers.Serializer):
    supplier = text("code; empty: taken from the shop's own shelf", allow_blank=True)
    freight = amount(required=False)
    parts = OrderedPartFileSerializer(many=True)


class CameFileSerializer(serializers.Serializer):
    line = whole("of an order of this job", min_value=1)
    quantity = whole(min_value=1, max_value=9999)
    wrong = text("what is wrong with them", required=False, allow_blank=True, max_length=200)


class ReceiptsFileSerializer(serializers.Serializer):
    came = CameFileSerializer(many=True)


# The work


class WorkRowSerializer(serializers.Serializer):
    work = text("names the row, like cover-off@A")
    code = text("of the operation, test (test:CODE) or step; further: before it at further positions")
    name = text()
    where = text()
    item = text("key of its item; empty for teardown; beside for work that was not in the estimate")
    estimated = whole("minutes")
    minutes = whole("as written down; null: not yet", allow_null=True)
    note = text()


class UsedPartSerializer(serializers.Serializer):
    item = text("key of the item; empty: beside the estimate")
    part = text("brand/number")
    estimated = whole("pieces")
    quantity = whole("pieces really used; null: not written down", allow_null=True)
    note = text()


class WorkDoneSerializer(serializers.Serializer):
    """Minutes and parts as they were written down."""

    minutes = WorkRowSerializer(many=True)
    parts = UsedPartSerializer(many=True)


class MinutesFileSerializer(serializers.Serializer):
    work = text("a row of the work, or CODE@POSITION for work beside the estimate", max_length=160)
    minutes = whole("null takes it off", min_value=0, max_value=9999, allow_null=True)
    note = text(required=False, allow_blank=True, max_length=200)


class UsedPartFileSerializer(serializers.Serializer):
    item = text("key of the item; left out: beside the estimate", required=False, allow_blank=True)
    part = text("brand/number")
    quantity = whole("null takes it off", min_value=0, max_value=9999, allow_null=True)
    note = text(required=False, allow_blank=True, max_length=200)


class WorkFileSerializer(serializers.Serializer):
    minutes = MinutesFileSerializer(many=True, required=False)
    parts = UsedPartFileSerializer(many=True, required=False)


# Closing


class ClosingEstimateSerializer(serializers.Serializer):
    number = text()
    revision = whole()
    sha256 = text()
    decided_on = serializers.DateField(allow_null=True)
    decided_by = text(allow_null=True)


class ClosingPartSerializer(serializers.Serializer):
    text = text()
    brand = serializers.CharField()
    number = serializers.CharField()
    estimated = serializers.IntegerField(help_text="pieces")
    used = serializers.IntegerField(allow_null=True, help_text="null: not written down")
    note = serializers.CharField()


class ClosingItemSerializer(serializers.Serializer):
    key = text()
    title = text()
    where = text()
    done_before = serializers.BooleanField(help_text="tests carried out before the estimate")
    price = amount("without tax")
    parts = ClosingPartSerializer(many=True)


class NotDoneSerializer(serializers.Serializer):
    title = text()
    where = text()
    why = text()


class ClosingPriceSerializer(serializers.Serializer):
    items = amount()
    together = amount("charges, discounts, and work counted once")
    without_tax = amount()
    tax = TaxSerializer(many=True)
    tax_sum = amount()
    with_tax = amount("the price that was agreed to")


class ClosingDepositSerializer(serializers.Serializer):
    key = text()
    text = serializers.CharField()
    pieces = serializers.IntegerField()
    each = PlainDecimalField()
    tax = serializers.ListField(child=serializers.CharField())
    returned = serializers.IntegerField(help_text="old parts that came back")


class CreditSerializer(serializers.Serializer):
    without_tax = amount()
    tax = amount()
    with_tax = amount()


class ClosingPaymentSerializer(serializers.Serializer):
    received_on = serializers.DateField()
    how = text()
    amount = PlainDecimalField()


class LeftSerializer(serializers.Serializer):
    component = text()
    position = text()
    name = text()
    where = text()
    why = text("declined or advisory")
    reason = text()


class BesideSerializer(serializers.Serializer):
    """Estimated beside actual; null where minutes were not written down."""

    code = text("of an operation, test or step, or an item's key")
    name = text()
    where = serializers.ListField(child=serializers.CharField())
    estimated = whole("minutes")
    actual = whole(allow_null=True)
    difference = whole(allow_null=True)
    money = amount("the difference at the labour rate, without tax", allow_null=True)


class OwnKnowledgeSerializer(serializers.Serializer):
    rate = amount("of an hour", allow_null=True)
    estimated = whole("minutes")
    actual = whole(allow_null=True)
    difference = whole(allow_null=True)
    money = amount(allow_null=True)
    missing = serializers.ListField(child=serializers.CharField(), help_text="rows without minutes")
    operations = BesideSerializer(many=True)
    items = BesideSerializer(many=True)


class ClosingSerializer(serializers.Serializer):
    """The closing statement as it was frozen; `shop` is not in the customer's copy."""

    format = text()
    closed_on = serializers.DateField()
    currency = text()
    demonstration = serializers.BooleanField()
    workshop = WorkshopInDocumentSerializer()
    customer = CustomerSerializer()
    job = JobInDocumentSerializer()
    unit = UnitInDocumentSerializer()
    estimate = ClosingEstimateSerializer(allow_null=True)
    items = ClosingItemSerializer(many=True)
    beside = ClosingPartSerializer(many=True)
    not_done = NotDoneSerializer(many=True)
    price = ClosingPriceSerializer()
    deposits = ClosingDepositSerializer(many=True)
    returned = CreditSerializer()
    total = amount("with tax, deposits given back taken off")
    payments = ClosingPaymentSerializer(many=True)
    prepaid = amount()
    due = amount()
    readings = ReadingsOfTestSerializer(many=True)
    later = LeftSerializer(many=True)
    note = text()
    cautions = serializers.ListField(child=serializers.CharField())
    shop = OwnKnowledgeSerializer()


class ClosingFileSerializer(serializers.Serializer):
    """What whoever closes the job has to say."""

    arisen = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        help_text="items agreed to only if found, that were done",
    )
    returned = serializers.DictField(
        child=serializers.IntegerField(min_value=0),
        required=False,
        help_text="old parts that came back, by the key of the deposit's line",
    )
    note = text("needed where a reading after the repair is bad", required=False, allow_blank=True)


# History


class HistorySerializer(serializers.Serializer):
    family = text("the engine family's code")
    kind = text("operation, test or step")
    code = text()
    name = text()
    further = serializers.BooleanField(help_text="of its further positions, which have minutes of their own")
    stated = whole("minutes on record; null where it is no longer on record", allow_null=True)
    count = whole("times written down on closed jobs")
    median = amount("minutes")
    mad = amount("median of the distances from the median, not scaled")
    least = whole()
    most = whole()
    proposed = whole("other minutes; null where none are proposed", allow_null=True)
    reason = text("why others are proposed; empty where none are")


class HistoryListSerializer(serializers.Serializer):
    fewest = whole("times done before other minutes are proposed: a setting of the workshop")
    results = HistorySerializer(many=True)
