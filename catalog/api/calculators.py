"""GET calculators/...: worked out from what the address says, stored nowhere.

Every entry is a query parameter, so an answer has an address of its own and can be asked again
conditionally. A figure is a plain number in the parameter's unit, or a number, a space and a unit (UCUM
code): `0.103 [in_i]`.
"""

from collections.abc import Iterable
from typing import Any

from django.urls import reverse
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.calculators_schema import (
    CalculatorSerializer,
    answer_serializer,
    camel,
    entry_parameter,
    unit_parameter,
)
from catalog.rules.calculators.answer import Answer, Figure
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.shelf import CALCULATORS
from shop.api.conditional import ConditionalGet
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.rules.errors import Fault, Refused


def _in_unit(figure: Figure, code: str) -> dict[str, str | None]:
    least, nominal, most = (None if value is None else f"{value:f}" for value in figure.values(code))
    return {"unit": code or figure.unit, "minimum": least, "nominal": nominal, "maximum": most}


def _results(figures: Iterable[Figure], names: Iterable[str]) -> dict[str, Any]:
    told: dict[str, Any] = dict.fromkeys(names)
    for figure in figures:
        asked = _in_unit(figure, figure.asked) if figure.asked else None
        told[figure.name] = {"label": figure.label, **_in_unit(figure, ""), "asked": asked}
    return told


def answered(calculator: Calculator, answer: Answer) -> dict[str, Any]:
    """The answer as JSON; every figure the calculator knows is there, null where it was not asked about."""
    body: dict[str, Any] = {
        "calculator": calculator.code,
        "results": _results(answer.figures, calculator.results),
        "verdicts": [
            {"about": one.about, "outcome": one.outcome, "reason": one.reason} for one in answer.verdicts
        ],
        "steps": [{"formula": one.formula, "numbers": one.numbers} for one in answer.steps],
        "sources": [{"title": one.title, "gives": one.gives} for one in answer.sources],
        "cautions": list(answer.cautions),
        "notes": list(answer.notes),
    }
    if calculator.row_results:
        body["rows"] = [
            {"key": row.key, "remark": row.remark, "results": _results(row.figures, calculator.row_results)}
            for row in answer.rows
        ]
    return body


class Calculation(ConditionalGet, Api):
    """One calculator; a subclass states which."""

    calculator: Calculator

    def get(self, request: Request) -> Response:
        check_parameters(request, set(self.calculator.names))
        try:
            answer = self.calculator.answer(request.query_params.dict())
        except Refused as refused:
            raise Refused(
                Fault(f"query parameter {fault.where}", fault.what, fault.right) for fault in refused.faults
            ) from refused
        return Response(answered(self.calculator, answer))


def view_of(calculator: Calculator) -> type[Calculation]:
    """The view of a calculator, with its own entry in the document."""
    view = type(f"{camel(calculator)}View", (Calculation,), {"calculator": calculator})
    documented = extend_schema(
        operation_id=f"calculators_{calculator.code.replace('-', '_')}",
        description=f"{calculator.purpose} An aid, never a substitute for the maker's figures.",
        parameters=[
            *(entry_parameter(one) for one in calculator.parameters),
            *(unit_parameter(one) for one in calculator.units),
        ],
        responses=answer_serializer(calculator),
    )
    return extend_schema_view(get=documented)(view)


class Calculators(ConditionalGet, Api):
    """The calculators there are."""

    @extend_schema(responses=CalculatorSerializer(many=True), operation_id="calculators_list")
    def get(self, request: Request) -> Response:
        check_parameters(request, set())
        return Response(
            [
                {
                    "code": one.code,
                    "title": one.title,
                    "purpose": one.purpose,
                    "address": request.build_absolute_uri(reverse(f"api:calculator-{one.code}")),
                }
                for one in CALCULATORS.values()
            ]
        )
