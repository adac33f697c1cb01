"""What was expected at a test point: a band for a number, or a lamp that should be on or off.

Limits may hold only between two temperatures; with a coefficient per kelvin a reading taken elsewhere can
be brought to the reference temperature. Copper at 70 degC has about a fifth more resistance than at 20:

>>> wire = Expectation("number", "Ohm", maximum=Decimal("1.1"), temperature_coefficient=Decimal("0.00393"))
>>> print(wire.limits, wire.temperatures)
at most 1.1 Ω at 20 °C
>>> wire.factor_at(Decimal(70))
Decimal('1.19650')

An impossible one cannot be made:

>>> Expectation("number", "Ohm", minimum=Decimal(2), maximum=Decimal(1))
Traceback (most recent call last):
shop.rules.errors.Refused: limits: the minimum 2 is above the maximum 1; swap them or correct one
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from estimates.rules.measured import require_finite
from shop.rules.errors import Refused
from shop.rules.unit_table import UNITS


@dataclass(frozen=True, slots=True)
class Expectation:
    """A band (`minimum`, `maximum`, at least one; `unit` as a UCUM code) or a `lamp` "on" / "off".

    Temperatures in degrees Celsius, the coefficient per kelvin at the reference temperature. With a
    coefficient and no range the limits hold at the reference temperature only.
    """

    kind: Literal["number", "lamp"]
    unit: str | None = None
    minimum: Decimal | None = None
    maximum: Decimal | None = None
    lamp: Literal["on", "off"] | None = None
    temperature_min: Decimal | None = None
    temperature_max: Decimal | None = None
    temperature_coefficient: Decimal | None = None
    reference_temperature: Decimal = Decimal(20)

    def __post_init__(self) -> None:
        if self.kind not in ("number", "lamp"):
            raise Refused.single("expectation", f"'{self.kind}' is no kind of value", "say number or lamp")
        if self.kind == "lamp":
            if self.lamp not in ("on", "off"):
                raise Refused.single("lamp", "what it should do is not said", "say on or off")
            return
        require_finite("minimum", self.minimum)
        require_finite("maximum", self.maximum)
        require_finite("lowest temperature", self.temperature_min)
        require_finite("highest temperature", self.temperature_max)
        require_finite("temperature coefficient", self.temperature_coefficient)
        require_finite("reference temperature", self.reference_temperature)
        if self.minimum is None and self.maximum is None:
            raise Refused.single(
                "limits", "there is no limit to judge by", "give a minimum, a maximum or both"
            )
        _in_order("limits", "minimum", self.minimum, "maximum", self.maximum)
        _in_order("temperatures", "lowest", self.temperature_min, "highest", self.temperature_max)

    @property
    def printed_unit(self) -> str:
        """The unit for people: Ω where the code is Ohm."""
        code = self.unit or ""
        return UNITS[code].symbol if code in UNITS else code

    def holds_at(self, celsius: Decimal | None) -> bool:
        """Whether the limits hold at this temperature as they stand; None is a temperature nobody noted."""
        low, high = self._range()
        if low is None and high is None:
            return True
        if celsius is None:
            return False
        return (low is None or low <= celsius) and (high is None or celsius <= high)

    def factor_at(self, celsius: Decimal | None) -> Decimal | None:
        """The value at this temperature over that at the reference, as 1 + coefficient x difference."""
        if self.temperature_coefficient is None or celsius is None:
            return None
        return 1 + self.temperature_coefficient * (celsius - self.reference_temperature)

    def _range(self) -> tuple[Decimal | None, Decimal | None]:
        stated = (self.temperature_min, self.temperature_max)
        if stated == (None, None) and self.temperature_coefficient is not None:
            return (self.reference_temperature, self.reference_temperature)
        return stated

    @property
    def limits(self) -> str:
        return _span(self.minimum, self.maximum, self.printed_unit)

    @property
    def temperatures(self) -> str:
        low, high = self._range()
        words = _span(low, high, "°C")
        return f"at {low} °C" if low == high else words if low is None or high is None else f"from {words}"


def _in_order(where: str, low_name: str, low: Decimal | None, high_name: str, high: Decimal | None) -> None:
    if low is not None and high is not None and low > high:
        what = f"the {low_name} {low} is above the {high_name} {high}"
        raise Refused.single(where, what, "swap them or correct one")


def _span(low: Decimal | None, high: Decimal | None, unit: str | None) -> str:
    end = f" {unit}" if unit else ""
    if low is None:
        return f"at most {high}{end}"
    return f"at least {low}{end}" if high is None else f"{low} to {high}{end}"
