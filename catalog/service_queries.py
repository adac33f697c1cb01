"""Reads the service data of one engine family, in a constant number of statements however much there is."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from catalog.cards import FamilyCard
from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Caution,
    Component,
    Operation,
    OperationAccess,
    OperationCaution,
    OperationRisk,
    PartNeed,
    StepCaution,
    TestPoint,
    TestPointAccess,
    TestPointCaution,
    TestPointComponent,
)
from catalog.service_cards import (
    ComponentCard,
    NeedCard,
    OperationCard,
    RiskCard,
    ServiceBook,
    StepCard,
    TestPointCard,
)


def service_book(family: FamilyCard) -> ServiceBook:
    """Components, steps, test points, operations and cautions of `family`. Fourteen statements."""
    step_needs, operation_needs = _needs(family.code)
    return ServiceBook(
        family=family,
        components=_components(family.code),
        steps=_steps(family.code, step_needs),
        test_points=_test_points(family.code),
        operations=_operations(family.code, operation_needs),
        cautions=dict(Caution.objects.values_list("code", "text")),
    )


def _grouped(pairs: Iterable[tuple[str, Any]]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = defaultdict(list)
    for key, value in pairs:
        found[key].append(value)
    return found


def stated(value: Decimal | None, places: int) -> Decimal | None:
    """A stored quantity with the decimals its source wrote: 0.600000 at 2 places is 0.60 again."""
    return None if value is None else value.quantize(Decimal(1).scaleb(-places))


def _components(family: str) -> dict[str, ComponentCard]:
    rows = Component.objects.filter(family__code=family).values_list(
        "code", "name", "scope", "part_type__code", "likelihood"
    )
    return {row[0]: ComponentCard(*row) for row in rows}


def _needs(family: str) -> tuple[dict[str, list[NeedCard]], dict[str, list[NeedCard]]]:
    columns = ("part_type__code", "part_type__name", "quantity", "per", "necessity")
    steps = PartNeed.objects.filter(step__family__code=family).order_by("pk")
    operations = PartNeed.objects.filter(operation__family__code=family).order_by("pk")
    return (
        _grouped((row[0], NeedCard(*row[1:])) for row in steps.values_list("step__code", *columns)),
        _grouped((row[0], NeedCard(*row[1:])) for row in operations.values_list("operation__code", *columns)),
    )


def _steps(family: str, needs: dict[str, list[NeedCard]]) -> dict[str, StepCard]:
    requires = _grouped(
        AccessStepRequirement.objects.filter(step__family__code=family)
        .order_by("pk")
        .values_list("step__code", "requires__code")
    )
    cautions = _grouped(
        StepCaution.objects.filter(step__family__code=family)
        .order_by("pk")
        .values_list("step__code", "caution__code")
    )
    rows = AccessStep.objects.filter(family__code=family).values_list("code", "name", "scope", "minutes")
    return {
        code: StepCard(
            code,
            name,
            scope,
            minutes,
            tuple(requires[code]),
            tuple(needs.get(code, ())),
            tuple(cautions[code]),
        )
        for code, name, scope, minutes in rows
    }


def _test_points(family: str) -> dict[str, TestPointCard]:
    path = _grouped(
        TestPointComponent.objects.filter(test_point__family__code=family)
        .order_by("ordinal")
        .values_list("test_point__code", "component__code")
    )
    access = _grouped(
        TestPointAccess.objects.filter(test_point__family__code=family)
        .order_by("pk")
        .values_list("test_point__code", "step__code")
    )
    cautions = _grouped(
        TestPointCaution.objects.filter(test_point__family__code=family)
        .order_by("pk")
        .values_list("test_point__code", "caution__code")
    )
    rows: Any = TestPoint.objects.filter(family__code=family).order_by("pk").values_list(
        "places", "code", "name", "scope", "kind", "unit", "minimum", "maximum", "lamp", "temperature_min",
        "temperature_max", "temperature_coefficient", "minutes", "minutes_further", "instruction",
    )  # fmt: skip
    found = {}
    for places, code, name, scope, kind, unit, minimum, maximum, *rest in rows:
        limits = (stated(minimum, places), stated(maximum, places))
        links = (tuple(path[code]), tuple(access[code]), tuple(cautions[code]))
        columns: Any = (code, name, scope, kind, unit, *limits, *rest, *links)
        found[code] = TestPointCard(*columns)
    return found


def _operations(family: str, needs: dict[str, list[NeedCard]]) -> dict[str, OperationCard]:
    access = _grouped(
        OperationAccess.objects.filter(operation__family__code=family)
        .order_by("pk")
        .values_list("operation__code", "step__code")
    )
    risks = _grouped(
        (row[0], RiskCard(*row[1:]))
        for row in OperationRisk.objects.filter(operation__family__code=family)
        .order_by("pk")
        .values_list("operation__code", "follow_on__code", "condition", "likelihood")
    )
    cautions = _grouped(
        OperationCaution.objects.filter(operation__family__code=family)
        .order_by("pk")
        .values_list("operation__code", "caution__code")
    )
    rows: Any = Operation.objects.filter(family__code=family).values_list(
        "code", "name", "scope", "repairs__code", "rank", "description", "minutes", "minutes_further",
        "removes_control",
    )  # fmt: skip
    found = {}
    for code, *rest in rows:
        links = (tuple(access[code]), tuple(needs.get(code, ())), tuple(risks[code]), tuple(cautions[code]))
        columns: Any = (code, *rest, *links)
        found[code] = OperationCard(*columns)
    return found
