"""The shape of a worksheet (estimates.documents.worksheet) and of what may be hidden (estimates.hidden) for
the OpenAPI document; a test holds answers against it."""

from rest_framework import serializers

from shop.api.fields import PlainDecimalField


def text(help_text: str = "", **kwargs: object) -> serializers.CharField:
    return serializers.CharField(help_text=help_text, **kwargs)  # type: ignore[arg-type]


def texts(help_text: str = "") -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField(), help_text=help_text)


class WorksheetJobSerializer(serializers.Serializer):
    number = text()
    opened_on = serializers.DateField()
    complaint = text()


class WorksheetShopSerializer(serializers.Serializer):
    name = text()
    phone = text()


class WorksheetUnitSerializer(serializers.Serializer):
    name = text()
    family = text("the engine family's code")
    family_name = text()
    registration = text()
    serial = text("of the engine; empty is not known")


class WorksheetPartSerializer(serializers.Serializer):
    name = text()
    where = text()
    quantity = serializers.IntegerField()
    necessity = text("required, one-time (never reused), consumable or if-damaged")
    numbers = texts("brand and number of each piece; empty while it is to be confirmed")
    to_confirm = text("the missing fact")


class WorksheetValueSerializer(serializers.Serializer):
    """A value needed at hand, like a tightening torque."""

    name = text()
    of = text("the part type")
    figure = text("with its unit")
    also = text("in the customary other unit")
    condition = text()
    source_title = text()
    verified = serializers.BooleanField()


class StepOffSerializer(serializers.Serializer):
    key = text("actual minutes are written down under it")
    name = text()
    minutes = serializers.IntegerField(help_text="both ways")
    how = text()
    tools = text()
    slow = text("why it takes longer on this machine")
    opened_for_tests = serializers.BooleanField()
    only_for_tests = serializers.BooleanField(help_text="the repair does not need it")
    cautions = texts()


class StepOnSerializer(serializers.Serializer):
    key = text()
    name = text()
    how = text()
    tools = text()
    only_for_tests = serializers.BooleanField()
    parts = WorksheetPartSerializer(many=True)
    values = WorksheetValueSerializer(many=True)
    missing = texts("values that are not on record")


class WorkSerializer(serializers.Serializer):
    key = text("actual minutes are written down under it")
    name = text()
    minutes = serializers.IntegerField(help_text="of its own; the first place of an operation may be longer")
    how = text()
    parts = WorksheetPartSerializer(many=True)
    values = WorksheetValueSerializer(many=True)
    missing = texts("values that are not on record")
    cautions = texts()


class PlaceSerializer(serializers.Serializer):
    place = text("a position's code")
    where = text()


class TeardownSerializer(PlaceSerializer):
    entries = StepOffSerializer(many=True)


class WorkAtSerializer(PlaceSerializer):
    entries = WorkSerializer(many=True)


class RefitSerializer(PlaceSerializer):
    entries = StepOnSerializer(many=True)


class ShownReadingSerializer(serializers.Serializer):
    shown = text()
    outcome = text("good, bad or unclear")


class ReadingAfterSerializer(serializers.Serializer):
    test_point = text()
    name = text()
    position = text()
    where = text()
    how = text()
    symbol = text("of the unit")
    expected = text("what is good, in words")
    before = ShownReadingSerializer(allow_null=True)
    after = ShownReadingSerializer(allow_null=True)


class IfFoundSerializer(serializers.Serializer):
    key = text()
    title = text()
    where = text()
    conditions = texts("in words")
    agreed = serializers.BooleanField(help_text="false: ask first")


class OpenPointSerializer(serializers.Serializer):
    what = text()
    why = text()


class WorksheetSerializer(serializers.Serializer):
    format = text()
    job = WorksheetJobSerializer()
    drawn_up_on = serializers.DateField()
    demonstration = serializers.BooleanField(help_text="true: invented data, not for real work")
    workshop = WorksheetShopSerializer()
    customer = text()
    unit = WorksheetUnitSerializer()
    said = text("on whose say the work is done")
    minutes = serializers.IntegerField(help_text="of the work and all its access, both ways")
    teardown = TeardownSerializer(many=True, help_text="in the order of taking apart")
    work = WorkAtSerializer(many=True)
    extras = WorksheetPartSerializer(many=True, help_text="small parts that broke")
    refit = RefitSerializer(many=True, help_text="in reverse")
    readings = ReadingAfterSerializer(many=True, help_text="to take after the repair")
    if_found = IfFoundSerializer(many=True)
    open_points = OpenPointSerializer(many=True)
    lost = texts("keys of items that were agreed to and are no longer in the estimate")
    cautions = texts()


class LikelySerializer(serializers.Serializer):
    key = text()
    title = text()
    where = text()
    percent = PlainDecimalField()
    weighed = serializers.BooleanField(help_text="false: nothing weighs it, so it counts as one in two")


class HiddenSerializer(serializers.Serializer):
    """Totals with tax."""

    currency = text()
    firm = PlainDecimalField()
    expected = PlainDecimalField(allow_null=True, help_text="null where nothing may be hidden")
    ceiling = PlainDecimalField()
    nothing_percent = PlainDecimalField(allow_null=True, help_text="how likely the firm work is all")
    ways = serializers.IntegerField(help_text="in which it may turn out, each priced whole")
    exact = serializers.BooleanField()
    items = LikelySerializer(many=True)
    notes = texts("what is assumed")
