"""Engine families: what engines share service parts, their positions, options and serial numbers."""

from django.db.models import Prefetch
from rest_framework import serializers

from catalog.api.common import CodeNameSerializer, Contains, Within, code_of
from catalog.models import EngineFamily, EngineOption, EngineOptionValue, Maker, Position, SerialScheme
from shop.api.fields import PlainDecimalField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter
from shop.api.views import ReadView


class MakerFilter(ApiFilterSet):
    name = Contains()

    class Meta:
        model = Maker
        fields = ["code", "name"]


class MakerView(ReadView):
    """Engine makers."""

    queryset = Maker.objects.all()
    serializer_class = CodeNameSerializer
    filterset_class = MakerFilter
    page_key = ("code",)
    orders = {"code": "code", "name": "name"}


class SerialSchemeSerializer(ReadSerializer):
    prefixes = serializers.SerializerMethodField(help_text="in building order")

    class Meta:
        model = SerialScheme
        fields = ["code", "name", "prefixes", "digits"]

    def get_prefixes(self, scheme: SerialScheme) -> list[str]:
        return scheme.prefixes.split()


class PositionSerializer(ReadSerializer):
    bank = code_of("bank", allow_null=True, help_text="of a cylinder, where the engine has banks")

    class Meta:
        model = Position
        fields = ["code", "scope", "bank"]


class EngineOptionSerializer(ReadSerializer):
    values = serializers.SerializerMethodField()

    class Meta:
        model = EngineOption
        fields = ["code", "name", "values"]

    def get_values(self, option: EngineOption) -> list[str]:
        return [value.value for value in option.values.all()]


class EngineFamilySerializer(ReadSerializer):
    maker = CodeNameSerializer()
    serial_scheme = SerialSchemeSerializer(allow_null=True)
    voltage = PlainDecimalField(help_text="volts")
    positions = PositionSerializer(many=True)
    options = EngineOptionSerializer(many=True)

    class Meta:
        model = EngineFamily
        fields = [
            "code", "name", "maker", "description", "layout", "cylinders", "voltage", "numbering",
            "serial_scheme", "positions", "options",
        ]  # fmt: skip


class EngineFamilyFilter(ApiFilterSet):
    name = Contains()
    description = Contains()
    maker = CodeFilter(Maker)
    serial_scheme = CodeFilter(SerialScheme)
    position = Within("positions__code", "a position's code: the family has such a position")
    option = Within("options__code", "an option's code: the family comes with a choice of it")

    class Meta:
        model = EngineFamily
        fields = ["code", "name", "description", "maker", "layout", "cylinders", "voltage", "numbering",
                  "serial_scheme"]  # fmt: skip


class EngineFamilyView(ReadView):
    """Engine families with their positions and options."""

    queryset = EngineFamily.objects.select_related("maker", "serial_scheme").prefetch_related(
        Prefetch("positions", Position.objects.select_related("bank").order_by("ordinal")),
        Prefetch("options", EngineOption.objects.order_by("code")),
        Prefetch("options__values", EngineOptionValue.objects.order_by("value")),
    )
    serializer_class = EngineFamilySerializer
    filterset_class = EngineFamilyFilter
    page_key = ("code",)
    orders = {
        "code": "code", "name": "name", "maker": "maker__code", "cylinders": "cylinders",
        "voltage": "voltage",
    }  # fmt: skip
