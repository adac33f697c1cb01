"""What a job brings in: the customer, the unit as far as it is known, readings, and what a person judged.

These are plain values, so that a job on file and a job kept in the database are built in the same way. A
reading keeps the accuracy of the meter it was taken with; "3" at "heater resistance" is measured once before
the repair.

>>> third = PositionCard("3", "cylinder", "A")
>>> ReadingIn("heater-resistance", third, Measured("open"), "open circuit").key
'heater-resistance@3'
>>> UnitIn("Yellow loader", "v4", DateInterval()).road_use
'unknown'
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from catalog.cards import PositionCard
from catalog.rules.interval import DateInterval
from estimates.rules.byhand import DiscountIn, HandIn, PaymentIn
from estimates.rules.plan import FoundStanding
from estimates.rules.reading import Measured


@dataclass(frozen=True, slots=True)
class CustomerIn:
    name: str
    number: str = ""
    address: str = ""
    email: str = ""
    phone: str = ""


@dataclass(frozen=True)
class UnitIn:
    """The customer's machine; empty means not known. `road_use` is "yes", "no" or "unknown"."""

    name: str
    family: str
    built: DateInterval
    serial: str = ""
    options: Mapping[str, str] = field(default_factory=dict)
    road_use: str = "unknown"
    registration: str = ""
    vin: str = ""


@dataclass(frozen=True, slots=True)
class ReadingIn:
    """One measured value at a test point and place; `shown` is the value as it was read, for printing."""

    test_point: str
    place: PositionCard
    measured: Measured
    shown: str
    phase: Literal["before", "after"] = "before"

    @property
    def key(self) -> str:
        return f"{self.test_point}@{self.place.code}"


@dataclass(frozen=True, slots=True)
class JudgedIn:
    """A finding entered by hand, with its reason."""

    component: str
    place: PositionCard
    standing: FoundStanding
    quantity: int
    reason: str


@dataclass(frozen=True, slots=True)
class FactorIn:
    """An access step that takes longer on this machine: times `by`, everywhere where `place` is None."""

    step: str
    place: PositionCard | None
    by: Decimal
    reason: str


@dataclass(frozen=True)
class JobIn:
    """Everything about one visit. `included` are keys of items taken into the firm price; parts have to be
    there by `needed_by`; `sourcing_plan` "" is the workshop's."""

    number: str
    opened_on: date
    complaint: str
    customer: CustomerIn
    unit: UnitIn
    readings: tuple[ReadingIn, ...]
    judged: tuple[JudgedIn, ...]
    included: frozenset[str] = frozenset()
    factors: tuple[FactorIn, ...] = ()
    hand_lines: tuple[HandIn, ...] = ()
    discounts: tuple[DiscountIn, ...] = ()
    payments: tuple[PaymentIn, ...] = ()
    needed_by: date | None = None
    sourcing_plan: str = ""
