"""The shape of the calculators for the OpenAPI document, from their own declarations.

A test holds the answers against it.
"""

from collections.abc import Iterable
from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, inline_serializer
from rest_framework import serializers

from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.parameter import Parameter, UnitChoice
from shop.api.fields import PlainDecimalField
from shop.rules.units import alike, unit


def camel(calculator: Calculator) -> str:
    """Its name in the document: OringGland."""
    return calculator.title.title().replace(" ", "").replace("-", "")


class CalculatorSerializer(serializers.Serializer):
    code = serializers.CharField()
    title = serializers.CharField()
    purpose = serializers.CharField()
    address = serializers.CharField(help_text="where it is asked")


class FigureInUnitSerializer(serializers.Serializer):
    unit = serializers.CharField(help_text="UCUM code")
    minimum = PlainDecimalField(allow_null=True)
    nominal = PlainDecimalField(allow_null=True)
    maximum = PlainDecimalField(allow_null=True)


class FigureSerializer(FigureInUnitSerializer):
    """A result in an SI unit, rounded half up, and in the unit that the query chose for its kind."""

    label = serializers.CharField()  # type: ignore[assignment]
    asked = FigureInUnitSerializer(
        allow_null=True, help_text="null where no unit can be chosen, as for percent"
    )


class CalculatorVerdictSerializer(serializers.Serializer):
    about = serializers.CharField()
    outcome = serializers.CharField(help_text="in words")
    reason = serializers.CharField()


class StepSerializer(serializers.Serializer):
    formula = serializers.CharField()
    numbers = serializers.CharField(help_text="the same with the numbers put in")


class CalculatorSourceSerializer(serializers.Serializer):
    title = serializers.CharField()
    gives = serializers.CharField()


def _texts(**kwargs: Any) -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField(), **kwargs)


def _figures_serializer(name: str, names: Iterable[str]) -> serializers.Serializer:
    return inline_serializer(name, {one: FigureSerializer(allow_null=True) for one in names})


def answer_serializer(calculator: Calculator) -> serializers.Serializer:
    """What this calculator answers, for the document."""
    word = camel(calculator)
    fields: dict[str, serializers.Field] = {
        "calculator": serializers.CharField(),
        "results": _figures_serializer(f"{word}Results", calculator.results),
        "verdicts": CalculatorVerdictSerializer(many=True),
        "steps": StepSerializer(many=True),
        "sources": CalculatorSourceSerializer(many=True),
        "cautions": _texts(help_text="print them with the result"),
        "notes": _texts(),
    }
    if calculator.row_results:
        row = {
            "key": serializers.CharField(),
            "remark": serializers.CharField(),
            "results": _figures_serializer(f"{word}RowResults", calculator.row_results),
        }
        fields["rows"] = inline_serializer(f"{word}Row", row, many=True)
    return inline_serializer(f"{word}Answer", fields)


def entry_parameter(parameter: Parameter) -> OpenApiParameter:
    schema: dict[str, Any] = {"type": "string"}
    words = [parameter.label]
    if parameter.whole:
        schema = {"type": "integer", "minimum": int(parameter.least) + 1, "maximum": int(parameter.most)}
    elif parameter.unit is not None:
        symbol = unit(parameter.unit).symbol
        words.append(f"in {symbol}" if symbol else "a plain number")
        if parameter.unit_by:
            words.append(f"or in what {parameter.unit_by} says, or with its own unit after a space")
        words.append(f"up to {parameter.most:f} {symbol}".strip())
    if parameter.choices:
        schema["enum"] = [key for key, _ in parameter.choices]
    if parameter.default:
        schema["default"] = parameter.default
    if parameter.help:
        words.append(parameter.help)
    examples = [OpenApiExample(parameter.name, parameter.example)] if parameter.example else []
    return OpenApiParameter(
        parameter.name,
        schema,
        required=parameter.required and not parameter.default,
        description="; ".join(words),
        examples=examples,
    )


def unit_parameter(choice: UnitChoice) -> OpenApiParameter:
    return OpenApiParameter(
        choice.name,
        {"type": "string", "enum": [one.code for one in alike(choice.default)], "default": choice.default},
        description="UCUM code: "
        + ("the unit of the asked results" if choice.shows else "what plain numbers are in"),
    )
