"""Specs as plain values, written the way their source states them."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, QuerySet

from catalog.models import Spec
from shop.rules.customary import customary_other
from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up
from shop.rules.units import express, unit

Limits = tuple[Decimal | None, Decimal | None, Decimal | None]


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
    words: str
    temperature_min: Decimal | None
    temperature_max: Decimal | None
    source_code: str
    source: str
    verified: bool
    type_code: str
    part_type: str
    part: str
    family_code: str
    of: str

    @property
    def limits(self) -> Limits:
        """Minimum, nominal and maximum."""
        return self.minimum, self.nominal, self.maximum

    @property
    def figure(self) -> str:
        """The value in words and figures: "0.60 to 1.20 Ω", "at most 5 N·m", "M10"."""
        return self.text or _figure(*self.limits, self.symbol)

    @property
    def temperature(self) -> str:
        """The window the value holds in: "15 to 25 °C"; "" where the source states none."""
        return self.temperature_in("Cel")

    @property
    def condition(self) -> str:
        """What the value holds under, in words, its temperatures with it."""
        return ", ".join(text for text in (self.words, self.temperature) if text)

    @property
    def standing(self) -> str:
        """What everybody who reads the value has to read too."""
        return "verified" if self.verified else "not verified"

    @property
    def customary(self) -> str:
        """The UCUM code of the unit people also expect it in; "" where there is none."""
        return "" if self.text else customary_other(self.unit)

    def limits_in(self, code: str) -> Limits:
        """Minimum, nominal and maximum in another unit, with their significant digits. Raises Refused."""
        low, middle, high = (
            None if value is None else express(value, self.unit, code) for value in self.limits
        )
        return low, middle, high

    def figure_in(self, code: str) -> str:
        """The value in another unit, in words. Raises Refused where that measures something else."""
        return _figure(*self.limits_in(code), unit(code).symbol)

    def temperature_in(self, code: str) -> str:
        """The temperature window in another unit of temperature."""
        if self.temperature_min is None and self.temperature_max is None:
            return ""
        low, high = (
            None if value is None else express(value, "Cel", code)
            for value in (self.temperature_min, self.temperature_max)
        )
        return _figure(low, None, high, unit(code).symbol)


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
    """With the decimals its source states; with more where more is stored, so that nothing is lost."""
    if value is None:
        return None
    stored = value.normalize().as_tuple().exponent
    return round_half_up(value, max(places, -stored if isinstance(stored, int) else 0))


def spec_card(spec: Spec) -> SpecCard:
    """Needs `property`, `part_type`, `source`, `family` and `part__brand` selected with it."""
    part, family = spec.part, spec.family
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
        words=spec.condition,
        # A whole number of degrees goes without the ".0" that the column adds.
        temperature_min=_stated(spec.temperature_min, 0),
        temperature_max=_stated(spec.temperature_max, 0),
        source_code=spec.source.code,
        source=str(spec.source),
        verified=spec.verified,
        type_code=spec.part_type.code,
        part_type=spec.part_type.name,
        part=f"{part.brand.code}/{part.number}" if part else "",
        family_code=family.code if family else "",
        of=str(part or family),
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
