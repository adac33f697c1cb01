"""Specs as plain values, written the way their source states them."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet

from catalog.models import Spec
from shop.rules.errors import Refused
from shop.rules.units import express, unit


@dataclass(frozen=True)
class SpecCard:
    """One value of a property. Limits are None where the source states none; `unit` is a UCUM code or ""."""

    id: int
    code: str
    name: str
    unit: str
    symbol: str
    minimum: Decimal | None
    nominal: Decimal | None
    maximum: Decimal | None
    text: str
    condition: str
    source: str
    verified: bool
    part_type: str
    of: str

    @property
    def figure(self) -> str:
        """The value in words and figures: "0.60 to 1.20 Ω", "at most 5 N·m", "M10"."""
        return self.text or _figure(self.minimum, self.nominal, self.maximum, self.symbol)

    def figure_in(self, code: str) -> str:
        """The same in another unit. Raises Refused where it measures something else."""
        low, middle, high = (
            None if value is None else express(value, self.unit, code)
            for value in (self.minimum, self.nominal, self.maximum)
        )
        return _figure(low, middle, high, unit(code).symbol)


def _figure(minimum: Decimal | None, nominal: Decimal | None, maximum: Decimal | None, symbol: str) -> str:
    low, middle, high = (None if v is None else f"{v:f}" for v in (minimum, nominal, maximum))
    if low is not None and high is not None:
        told = f"{low} to {high}" if low != high else low
    elif low is not None:
        told = f"at least {low}"
    elif high is not None:
        told = f"at most {high}"
    else:
        return f"{middle} {symbol}".rstrip()
    return f"{told} {symbol}".rstrip() + (f", nominal {middle}" if middle not in (None, low) else "")


def symbol_of(code: str) -> str:
    """The sign of a unit for people; the code itself where it is not one of ours."""
    try:
        return unit(code).symbol if code else ""
    except Refused:
        return code


def _stated(value: Decimal | None, places: int) -> Decimal | None:
    return None if value is None else value.quantize(Decimal(1).scaleb(-places))


def _condition(spec: Spec) -> str:
    told = [spec.condition] if spec.condition else []
    if spec.temperature_min is not None or spec.temperature_max is not None:
        told.append(_figure(_degrees(spec.temperature_min), None, _degrees(spec.temperature_max), "°C"))
    return ", ".join(told)


def _degrees(value: Decimal | None) -> Decimal | None:
    """A whole number of degrees without its ".0", which the column adds."""
    return value if value is None or value % 1 else value.quantize(Decimal(1))


def spec_card(spec: Spec) -> SpecCard:
    """Needs `property`, `part_type`, `source`, `family` and `part__brand` selected with it."""
    return SpecCard(
        id=spec.pk,
        code=spec.property.code,
        name=spec.property.name,
        unit=spec.property.unit,
        symbol=symbol_of(spec.property.unit),
        minimum=_stated(spec.minimum, spec.places),
        nominal=_stated(spec.nominal, spec.places),
        maximum=_stated(spec.maximum, spec.places),
        text=spec.text,
        condition=_condition(spec),
        source=str(spec.source),
        verified=spec.verified,
        part_type=spec.part_type.name,
        of=str(spec.part or spec.family),
    )


def spec_rows() -> QuerySet[Spec]:
    return Spec.objects.select_related("property", "part_type", "source", "family", "part__brand")


def specs_of(
    part_ids: Collection[int], family: str | None, part_types: Iterable[str]
) -> tuple[dict[int, tuple[SpecCard, ...]], dict[str, tuple[SpecCard, ...]]]:
    """Specs by part, and by part type the specs of it as fitted to `family`. One statement."""
    wanted = Q(part_id__in=part_ids)
    if family:
        wanted |= Q(family__code=family, part_type__code__in=tuple(part_types))
    of_parts: dict[int, list[SpecCard]] = {}
    of_types: dict[str, list[SpecCard]] = {}
    for row in spec_rows().filter(wanted).order_by("property__name", "condition", "pk"):
        if row.part_id:
            of_parts.setdefault(row.part_id, []).append(spec_card(row))
        else:
            of_types.setdefault(row.part_type.code, []).append(spec_card(row))
    return (
        {key: tuple(cards) for key, cards in of_parts.items()},
        {key: tuple(cards) for key, cards in of_types.items()},
    )
