"""Readings and findings as a person types them, turned into what the rules take, or into faults.

The engine family's service data says which test points, components and positions there are; a reading is
also tried against what its test point expects, so that a lamp answer to a resistance is noticed at once.

>>> faults = Faults()
>>> meter_entry({"accuracy_counts": 2}, "meter", faults) is None, str(faults[0])
(True, "meter, accuracy_counts: counts need the meter's resolution; give what one count is worth")
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, cast

from catalog.cards import FamilyCard, PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.rules.expectation import Expectation
from estimates.rules.intake import JudgedIn, ReadingIn
from estimates.rules.plan import FoundStanding
from estimates.rules.reading import Measured, judge
from shop.rules.entry import Faults, decimal_entry, keys_entry, text_entry, whole_entry
from shop.rules.errors import Fault, Refused
from shop.rules.rounding import round_half_up
from shop.rules.unit_table import UNITS

STANDINGS = ("confirmed", "suspected", "advisory")
METER = ("accuracy_percent", "accuracy_counts", "resolution", "zero")


def position_entry(
    raw: Any, where: str, family: FamilyCard, scope: str, faults: Faults
) -> PositionCard | None:
    """A position of this family and scope, named "3", "A" or "engine"; the engine goes without saying."""
    if raw in (None, "") and scope == "engine":
        return family.of_scope("engine")[0]
    if raw in (None, ""):
        listed = ", ".join(p.code for p in family.of_scope(scope)) or "none"
        faults.add(where, f"no {scope} is named", f"use one of {listed}")
        return None
    code = str(raw).strip() if isinstance(raw, (str, int)) and not isinstance(raw, bool) else ""
    position = family.position(code)
    allowed = [p.code for p in family.of_scope(scope)]
    if position is not None and position.scope == scope:
        return position
    if position is not None:
        what = (
            f"{position.label} is not a {scope}"
            if scope != "engine"
            else f"{position.label} is not the engine"
        )
        faults.add(where, what, f"use one of {', '.join(allowed)}")
    elif scope == "cylinder" and code.isdigit():
        faults.add(
            where, f"there is no cylinder {code} of {family.cylinders}", f"use one of {', '.join(allowed)}"
        )
    else:
        faults.add(
            where, f"no {scope} '{raw}' on {family.name}", f"use one of {', '.join(allowed) or 'none'}"
        )
    return None


# Readings


def reading_entry(
    raw: Any, where: str, book: ServiceBook, faults: Faults, meter: Mapping[str, Any] | None = None
) -> ReadingIn | None:
    """A reading, with the meter's accuracy from the reading itself or from `meter`; None with faults."""
    optional = ("position", "unit", "temperature", "phase", *METER)
    if not keys_entry(raw, where, ("test_point", "value"), optional, faults):
        return None
    before = len(faults)
    card = book.test_points.get(str(raw["test_point"]))
    if card is None:
        faults.near(f"{where}, test_point", "test point", str(raw["test_point"]), book.test_points)
        return None
    place = position_entry(raw.get("position"), f"{where}, position", book.family, card.scope, faults)
    _unit(raw.get("unit"), card, where, faults)
    phase = raw.get("phase", "before")
    if phase not in ("before", "after"):
        faults.add(f"{where}, phase", f"'{phase}' is none", "say before or after (the repair)")
    measured = _measured(raw, where, card, meter or {}, faults)
    if len(faults) > before or place is None or measured is None:
        return None
    try:
        judge(measured, expectation_of(card))
    except Refused as refusal:
        faults += [Fault(f"{where}, value", fault.what, fault.right) for fault in refusal.faults]
        return None
    return ReadingIn(
        card.code,
        place,
        measured,
        shown_reading(measured, card.unit),
        "after" if phase == "after" else "before",
    )


def _unit(raw: Any, card: TestPointCard, where: str, faults: Faults) -> None:
    if raw in (None, "") or raw == card.unit:
        return
    expected = card.unit or "no unit: a lamp is on or off"
    faults.add(
        f"{where}, unit",
        f"'{raw}' where {card.name} is measured in {expected}",
        f"give the value in {expected}",
    )


def _measured(
    raw: Mapping[str, Any], where: str, card: TestPointCard, meter: Mapping[str, Any], faults: Faults
) -> Measured | None:
    before = len(faults)
    celsius = raw.get("temperature")
    temperature = None if celsius in (None, "") else decimal_entry(celsius, f"{where}, temperature", faults)
    if temperature is not None and not -60 <= temperature <= 400:
        faults.add(f"{where}, temperature", f"{temperature} °C is not credible", "give it in °C, -60 to 400")
    elif temperature is not None:
        _kept(temperature, 1, f"{where}, temperature", "give it to a tenth of a degree", faults)
    value = raw["value"]
    if isinstance(value, str) and value.strip().lower() in ("open", "on", "off"):
        kind = value.strip().lower()
        return None if len(faults) > before else Measured(cast(Any, kind), temperature=temperature)
    if card.kind == "lamp":
        faults.add(f"{where}, value", f"'{value}' where a test lamp is used", "say on or off")
        return None
    number = decimal_entry(value, f"{where}, value", faults)
    accuracy = meter_entry({**meter, **{key: raw[key] for key in METER if key in raw}}, where, faults)
    if number is None or accuracy is None or len(faults) > before:
        return None
    return Measured("number", number, temperature=temperature, **accuracy)


def meter_entry(raw: Mapping[str, Any], where: str, faults: Faults) -> dict[str, Any] | None:
    """The meter's accuracy as the reading rules take it; what is not stated is zero."""
    before = len(faults)
    taken: dict[str, Any] = {}
    for key in ("accuracy_percent", "resolution", "zero"):
        value = raw.get(key)
        if value not in (None, ""):
            taken[key] = decimal_entry(value, f"{where}, {key}", faults)
            if taken[key] is not None and taken[key] < 0 and key != "zero":
                faults.add(f"{where}, {key}", f"{value} is negative", "give zero or more")
    percent = taken.get("accuracy_percent")
    if percent is not None and percent > 100:
        faults.add(f"{where}, accuracy_percent", f"{percent} is above 100", "give percent of the reading")
    elif percent is not None:
        _kept(percent, 4, f"{where}, accuracy_percent", "use at most 4 decimals", faults)
    counts = raw.get("accuracy_counts")
    if counts not in (None, ""):
        taken["accuracy_counts"] = whole_entry(
            counts, f"{where}, accuracy_counts", faults, least=0, most=1000
        )
    if len(faults) == before and taken.get("accuracy_counts") and not taken.get("resolution"):
        faults.add(
            f"{where}, accuracy_counts", "counts need the meter's resolution", "give what one count is worth"
        )
    return None if len(faults) > before else taken


def _kept(value: Decimal, places: int, where: str, right: str, faults: Faults) -> None:
    """What is written down would be rounded in silence if it had more decimals than are kept."""
    if value != round_half_up(value, places):
        faults.add(where, f"{value:f} is finer than it is kept", right)


def expectation_of(card: TestPointCard) -> Expectation:
    """What the test point expects, in the words of the reading rules."""
    return Expectation(
        kind="lamp" if card.kind == "lamp" else "number",
        unit=card.unit or None,
        minimum=card.minimum,
        maximum=card.maximum,
        lamp=None if not card.lamp else ("on" if card.lamp == "on" else "off"),
        temperature_min=card.temperature_min,
        temperature_max=card.temperature_max,
        temperature_coefficient=card.temperature_coefficient,
    )


def shown_reading(measured: Measured, unit: str) -> str:
    """The reading in words: "0.9 Ω", "open circuit", "lamp on"."""
    if measured.kind == "number":
        return f"{measured.value} {symbol(unit)}"
    return "open circuit" if measured.kind == "open" else f"lamp {measured.kind}"


def symbol(unit: str) -> str:
    """How a UCUM code is printed: Ohm as Ω."""
    return UNITS[unit].symbol if unit in UNITS else unit


# Findings


def finding_entry(raw: Any, where: str, book: ServiceBook, faults: Faults) -> JudgedIn | None:
    """A finding made by a person; None with faults."""
    if not keys_entry(raw, where, ("component", "standing", "reason"), ("position", "quantity"), faults):
        return None
    before = len(faults)
    card = book.components.get(str(raw["component"]))
    if card is None:
        faults.near(f"{where}, component", "component", str(raw["component"]), book.components)
        return None
    place = position_entry(raw.get("position"), f"{where}, position", book.family, card.scope, faults)
    if raw["standing"] not in STANDINGS:
        faults.near(f"{where}, standing", "standing", str(raw["standing"]), STANDINGS)
    quantity = whole_entry(raw.get("quantity", 1), f"{where}, quantity", faults, least=1, most=1000)
    reason = text_entry(raw["reason"], f"{where}, reason", faults, longest=300, required=True)
    if len(faults) > before or place is None or quantity is None:
        return None
    return JudgedIn(card.code, place, cast(FoundStanding, raw["standing"]), quantity, reason)
