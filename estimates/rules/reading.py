"""Is this reading good, bad, or too close to call?

A meter shows 0.82 ohm with its leads on a heater and 0.20 with the leads held together: the heater has
0.62. The meter is good to 1 % of what it shows plus 2 counts of 0.01, here 0.0282 either way. Good means
inside the limits by more than that, bad means outside by more, anything else is unclear: take a better
meter or look for other evidence.

>>> heater = Expectation("number", unit="Ohm", minimum=Decimal("0.4"), maximum=Decimal("0.9"))
>>> meter = {"accuracy_percent": Decimal(1), "accuracy_counts": 2, "resolution": Decimal("0.01")}
>>> judge(Measured("number", Decimal("0.82"), zero=Decimal("0.20"), **meter), heater).reason
'0.62 Ω is inside 0.4 to 0.9 Ω by more than its uncertainty 0.028 Ω'
>>> judge(Measured("number", Decimal("1.08"), zero=Decimal("0.20"), **meter), heater).outcome
'unclear'
>>> judge(Measured("open"), heater).reason
'open circuit: no conduction at all, above the maximum 0.9 Ω'

Decision rule after ISO 14253-1. A value exactly at a limit moved by its uncertainty is unclear; with no
uncertainty at all the limit itself is inside. Temperatures are in degrees Celsius.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from estimates.rules.expectation import Expectation
from estimates.rules.measured import Measured
from shop.rules.errors import Refused
from shop.rules.rounding import round_half_up

__all__ = ["Expectation", "Judgement", "Measured", "judge"]

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Judgement:
    """The outcome and why; `corrected` and `uncertainty` in the expectation's unit, None without a number.

    `corrected` is what was compared: less the meter's zero and, where the reason says so, brought to the
    reference temperature. `uncertainty` is one-sided: the true value lies within plus or minus this.
    """

    outcome: Literal["good", "bad", "unclear"]
    corrected: Decimal | None
    uncertainty: Decimal | None
    reason: str


def judge(measured: Measured, expected: Expectation) -> Judgement:
    """Judge one reading against what is expected. Refused where the two are of different kinds."""
    if expected.kind == "lamp":
        return _judge_lamp(measured, expected)
    if measured.kind == "open":
        return _judge_open(expected)
    if measured.kind != "number" or measured.value is None:
        raise Refused.single(
            "reading", f"'{measured.kind}' where a measured value is expected", f"give it in {expected.unit}"
        )
    value = measured.value - measured.zero
    uncertainty = measured.uncertainty
    celsius = measured.temperature
    if expected.holds_at(celsius):
        return _against_limits(value, uncertainty, measured, expected, "")
    factor = expected.factor_at(celsius)
    if factor is None:
        return Judgement("unclear", value, uncertainty, _why_not_compared(celsius, expected))
    if factor <= 0:
        reason = f"{celsius} °C is too far from {expected.reference_temperature} °C to correct for"
        return Judgement("unclear", value, uncertainty, reason)
    note = f", corrected from {celsius} to {expected.reference_temperature} °C"
    return _against_limits(value / factor, uncertainty / factor, measured, expected, note)


def _judge_lamp(measured: Measured, expected: Expectation) -> Judgement:
    if measured.kind not in ("on", "off"):
        raise Refused.single("reading", f"'{measured.kind}' where a lamp is expected", "say on or off")
    outcome: Literal["good", "bad"] = "good" if measured.kind == expected.lamp else "bad"
    return Judgement(outcome, None, None, f"lamp {measured.kind}, expected {expected.lamp}")


def _judge_open(expected: Expectation) -> Judgement:
    if not (expected.unit or "").endswith("Ohm"):
        raise Refused.single(
            "reading",
            f"an open circuit says nothing about a value in {expected.unit or 'no unit'}",
            "give the measured value, or expect a resistance here",
        )
    text = "open circuit: no conduction at all"
    if expected.maximum is not None:
        limit = f"above the maximum {expected.maximum} {expected.printed_unit}"
        return Judgement("bad", None, None, f"{text}, {limit}")
    limit = f"above the minimum {expected.minimum} {expected.printed_unit}"
    return Judgement("good", None, None, f"{text}, {limit}")


def _why_not_compared(celsius: Decimal | None, expected: Expectation) -> str:
    stated = f"the limits hold {expected.temperatures}"
    if celsius is None:
        return f"{stated}, and the temperature of this reading is not known"
    return f"{stated}, and at {celsius} °C nothing says how to correct for it"


def _against_limits(
    value: Decimal, uncertainty: Decimal, measured: Measured, expected: Expectation, note: str
) -> Judgement:
    # Shown as finely as the meter shows it, the uncertainty to one place more; compared in full.
    places = measured.places
    unit = f" {expected.printed_unit}" if expected.unit else ""
    shown = f"{round_half_up(value, places)}{unit}{note}"
    margin = f"its uncertainty {round_half_up(uncertainty, places + 1)}{unit}"
    low, high = expected.minimum, expected.maximum
    over = [
        (value - high, f"above the maximum {high}{unit}") if high is not None else None,
        (low - value, f"below the minimum {low}{unit}") if low is not None else None,
    ]
    outside = [(by, words) for by, words in filter(None, over)]
    worst, words = max(outside, key=lambda pair: pair[0])
    if uncertainty == ZERO:
        exact = "" if measured.accuracy_stated else " (the meter's accuracy is not stated: taken as exact)"
        if worst > 0:
            return Judgement("bad", value, uncertainty, f"{shown} is {words}{exact}")
        return Judgement("good", value, uncertainty, f"{shown} is inside {expected.limits}{exact}")
    if worst > uncertainty:
        return Judgement("bad", value, uncertainty, f"{shown} is {words} by more than {margin}")
    if -worst > uncertainty:
        reason = f"{shown} is inside {expected.limits} by more than {margin}"
        return Judgement("good", value, uncertainty, reason)
    reason = f"{shown} lies no further than {margin} from a limit of {expected.limits}"
    if low is not None and high is not None and high - low <= 2 * uncertainty:
        reason += "; the meter is too coarse for this band and can prove no value in it good"
    return Judgement("unclear", value, uncertainty, reason)
