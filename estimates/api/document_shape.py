"""The shape of an estimate's document (estimates.documents.content) for the OpenAPI document; a test holds
built and issued documents against it."""

from rest_framework import serializers

from estimates.api.changes_shape import ChangesSerializer, OriginSerializer
from estimates.api.job_shape import CustomerSerializer, FindingSerializer, JudgementSerializer
from shop.api.fields import PlainDecimalField


class WorkshopInDocumentSerializer(serializers.Serializer):
    name = serializers.CharField()
    address = serializers.CharField()
    phone = serializers.CharField()
    email = serializers.CharField()
    tax_number = serializers.CharField()
    terms = serializers.CharField()


class JobInDocumentSerializer(serializers.Serializer):
    number = serializers.CharField()
    opened_on = serializers.DateField()
    complaint = serializers.CharField()


class OptionInDocumentSerializer(serializers.Serializer):
    name = serializers.CharField()
    value = serializers.CharField()


class UnitInDocumentSerializer(serializers.Serializer):
    name = serializers.CharField()
    family = serializers.CharField()
    family_name = serializers.CharField()
    registration = serializers.CharField()
    vin = serializers.CharField()
    serial = serializers.CharField()
    built = serializers.CharField(help_text="in words")
    road_use = serializers.CharField()
    options = OptionInDocumentSerializer(many=True)


class ReadingsOfTestSerializer(serializers.Serializer):
    test_point = serializers.CharField()
    name = serializers.CharField()
    phase = serializers.CharField()
    kind = serializers.CharField(help_text="number or lamp")
    unit = serializers.CharField(help_text="UCUM")
    symbol = serializers.CharField()
    minimum = PlainDecimalField(allow_null=True)
    maximum = PlainDecimalField(allow_null=True)
    expected = serializers.CharField(help_text="in words")
    path = serializers.ListField(child=serializers.CharField(), help_text="the components measured through")
    rows = JudgementSerializer(many=True)


class PartInDocumentSerializer(serializers.Serializer):
    brand = serializers.CharField()
    number = serializers.CharField()
    grade = serializers.CharField()


class LineSerializer(serializers.Serializer):
    key = serializers.CharField()
    kind = serializers.CharField()
    category = serializers.CharField(help_text="of the line for the tax: labour, parts, fees ...")
    text = serializers.CharField()
    part = PartInDocumentSerializer(allow_null=True)
    quantity = PlainDecimalField()
    unit_price = PlainDecimalField()
    unit_with_tax = PlainDecimalField(
        allow_null=True, help_text="of one piece by itself, where prices are printed with tax"
    )
    allowance = PlainDecimalField(help_text="the line's share of its item's discount")
    net = PlainDecimalField(help_text="quantity x unit price, rounded, less the allowance")
    with_tax = PlainDecimalField(
        allow_null=True, help_text="net and its share of the taxes, where prices are printed with tax"
    )
    minutes = serializers.IntegerField(allow_null=True)
    to_confirm = serializers.CharField(help_text="the missing fact; empty for a part that fits")
    note = serializers.CharField()
    tax = serializers.ListField(child=serializers.CharField())


class DiscountInDocumentSerializer(serializers.Serializer):
    """Off one item, spread over its lines."""

    reason = serializers.CharField()
    percent = PlainDecimalField(allow_null=True, help_text="null where an amount was given")
    amount = PlainDecimalField(help_text="without tax")


class ItemSerializer(serializers.Serializer):
    """What the customer says yes or no to."""

    key = serializers.CharField(help_text="stands in the address of its switch")
    title = serializers.CharField()
    where = serializers.CharField()
    why = serializers.ListField(child=serializers.CharField())
    description = serializers.CharField()
    origin = serializers.CharField(
        allow_null=True, help_text="the group it was taken into the firm price from"
    )
    done = serializers.BooleanField()
    by_hand = serializers.BooleanField(help_text="a line that a person wrote")
    minutes = serializers.IntegerField()
    gross = PlainDecimalField(help_text="its lines before its discount, without tax")
    discount = DiscountInDocumentSerializer(allow_null=True)
    net = PlainDecimalField(help_text="its lines, without tax")
    with_tax = PlainDecimalField(allow_null=True, help_text="its lines, where prices are printed with tax")
    adds = PlainDecimalField(allow_null=True, help_text="to the firm total, with tax, if it is taken in")
    later = PlainDecimalField(allow_null=True, help_text="on a visit of its own, with tax")
    later_minutes = serializers.IntegerField(allow_null=True, help_text="on a visit of its own")
    lines = LineSerializer(many=True)


class GroupsSerializer(serializers.Serializer):
    firm = ItemSerializer(many=True)
    contingent = ItemSerializer(many=True, help_text="only if found on opening")
    optional = ItemSerializer(many=True)


class LabourSerializer(serializers.Serializer):
    minutes = serializers.IntegerField()
    hours = PlainDecimalField(help_text="in the shop's increment, rounded once")
    increment = PlainDecimalField(help_text="hours")
    rate = PlainDecimalField(help_text="an hour")
    amount = PlainDecimalField()
    minutes_item_by_item = serializers.IntegerField(help_text="what it would be, were nothing shared")


class JobFactorInDocumentSerializer(serializers.Serializer):
    """Teardown that takes longer on this machine."""

    step = serializers.CharField()
    name = serializers.CharField()
    where = serializers.CharField()
    factor = PlainDecimalField()
    minutes = serializers.IntegerField(help_text="with the factor")
    usual_minutes = serializers.IntegerField()
    reason = serializers.CharField()


class ChargeSerializer(serializers.Serializer):
    """Charged on the whole of the firm work (EN 16931 BG-21)."""

    key = serializers.CharField()
    reason = serializers.CharField()
    amount = PlainDecimalField(help_text="without tax")
    with_tax = PlainDecimalField(allow_null=True, help_text="where prices are printed with tax")
    tax = serializers.ListField(child=serializers.CharField())


class AllowanceSerializer(ChargeSerializer):
    """Taken off the whole of the firm work, apart for each set of taxes (EN 16931 BG-20)."""

    percent = PlainDecimalField(allow_null=True, help_text="null where an amount was given")
    base = PlainDecimalField(help_text="of the lines that it is taken off")


class PaymentInDocumentSerializer(serializers.Serializer):
    """Paid in advance; a refund is negative."""

    received_on = serializers.DateField()
    how = serializers.CharField()
    amount = PlainDecimalField()


class TaxSerializer(serializers.Serializer):
    name = serializers.CharField()
    percent = PlainDecimalField()
    taxable = PlainDecimalField()
    amount = PlainDecimalField()


class TotalSerializer(serializers.Serializer):
    """After EN 16931, BR-CO-10 to BR-CO-17."""

    lines = PlainDecimalField()
    allowances = PlainDecimalField()
    charges = PlainDecimalField()
    without_tax = PlainDecimalField()
    tax = TaxSerializer(many=True)
    tax_sum = PlainDecimalField()
    with_tax = PlainDecimalField()
    prepaid = PlainDecimalField()
    due = PlainDecimalField(help_text="negative where too much was paid in advance")


class TotalsSerializer(serializers.Serializer):
    firm = TotalSerializer()
    ceiling = TotalSerializer(help_text="firm and every contingent item: not above this without asking again")
    options = TotalSerializer(help_text="with every option too")


class NoteSerializer(serializers.Serializer):
    what = serializers.CharField()
    why = serializers.CharField()


class DocumentSerializer(serializers.Serializer):
    """An estimate. Amounts are decimal text in the currency, minutes whole numbers."""

    format = serializers.CharField()
    number = serializers.CharField()
    revision = serializers.IntegerField()
    issued_on = serializers.DateField(help_text="of a draft: the day it was built")
    valid_until = serializers.DateField()
    currency = serializers.CharField(help_text="ISO 4217")
    demonstration = serializers.BooleanField(help_text="true: invented data, not for real work")
    prices_include_tax = serializers.BooleanField(
        help_text="whether lines and items are printed with their share of the taxes"
    )
    workshop = WorkshopInDocumentSerializer()
    customer = CustomerSerializer()
    job = JobInDocumentSerializer()
    unit = UnitInDocumentSerializer()
    readings = ReadingsOfTestSerializer(many=True)
    findings = FindingSerializer(many=True)
    contradictions = serializers.ListField(child=serializers.CharField())
    groups = GroupsSerializer()
    job_factors = JobFactorInDocumentSerializer(many=True)
    labour = LabourSerializer()
    allowances = AllowanceSerializer(many=True)
    charges = ChargeSerializer(many=True)
    totals = TotalsSerializer()
    payments = PaymentInDocumentSerializer(many=True)
    to_confirm = serializers.ListField(child=serializers.CharField(), help_text="each missing fact once")
    not_offered = NoteSerializer(many=True, help_text="refused on this unit, and why")
    open_points = NoteSerializer(many=True, help_text="found, and not priced")
    cautions = serializers.ListField(child=serializers.CharField())
    sheet = serializers.JSONField(
        help_text="what prices of any choice of items rest on; amounts in minor units of the currency"
    )
    origins = serializers.DictField(
        child=OriginSerializer(many=True), help_text="by the key of an item, the findings it answers"
    )
    changes = ChangesSerializer(allow_null=True, help_text="against the revision before; null for the first")


class StopSerializer(serializers.Serializer):
    where = serializers.CharField()
    what = serializers.CharField()
    right = serializers.CharField()


class DraftSerializer(DocumentSerializer):
    problems = StopSerializer(many=True, help_text="what stands in the way of issuing it; empty for none")
