"""Numbers in answers: always text, exact, with the decimals they are stated with."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from shop.rules.currency import minor_units
from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

DECIMAL_PATTERN = r"^-?[0-9]+(\.[0-9]+)?$"
DECIMAL = {"type": "string", "format": "decimal", "pattern": DECIMAL_PATTERN}


def decimal_text(value: Decimal, places: int) -> str:
    """With `places` decimals, and with more where the value has more: nothing stored is rounded away."""
    exponent = value.normalize().as_tuple().exponent
    return f"{round_half_up(value, max(places, -int(exponent))):f}"


def money_text(amount: Decimal | None, currency: str) -> str | None:
    """An amount with at least the decimals of its currency (ISO 4217): "12.50", "0.0088", "900" in yen."""
    if amount is None:
        return None
    try:
        places = minor_units(currency)
    except Refused:
        places = 0  # not a currency that is listed: the bare number says no more than was stored
    return decimal_text(amount, places)


class ReadSerializer(serializers.ModelSerializer):
    """A row as it is answered: nothing in it can be written, and every member is always there."""

    def get_extra_kwargs(self) -> dict[str, dict[str, Any]]:
        return {name: {"read_only": True} for name in self.Meta.fields}


@extend_schema_field(DECIMAL)
class MoneyField(serializers.Field):
    """An amount of the serialized row, as text. `currency` is the dotted way to its currency's code."""

    def __init__(self, currency: str, **kwargs: Any) -> None:
        self.currency = currency
        super().__init__(read_only=True, **kwargs)

    def get_attribute(self, instance: Any) -> tuple[Decimal, str] | None:
        amount = super().get_attribute(instance)
        if amount is None:
            return None
        code = instance
        for name in self.currency.split("."):
            code = getattr(code, name)
        return amount, code

    def to_representation(self, value: tuple[Decimal, str]) -> str | None:
        return money_text(*value)


@extend_schema_field(DECIMAL)
class StatedField(serializers.Field):
    """A measured number of the serialized row, with the row's own `places`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(read_only=True, **kwargs)

    def get_attribute(self, instance: Any) -> tuple[Decimal, int] | None:
        value = super().get_attribute(instance)
        return None if value is None else (value, instance.places)

    def to_representation(self, value: tuple[Decimal, int]) -> str:
        return decimal_text(*value)


@extend_schema_field(DECIMAL)
class PlainDecimalField(serializers.DecimalField):
    """A number that needs no more decimals than it has: "12", "0.05"."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_digits=None, decimal_places=None, read_only=True, **kwargs)

    def to_representation(self, value: Decimal) -> str:
        return decimal_text(value, 0)
