"""The heater bank as it is asked for and answered.

>>> told = HEATERS.answer({"supply": "12", "resistance": "0.60", "resistance_max": "0.66", "count": "8",
...     "measured": "140", "meter_percent": "3"})
>>> told.figures[0].text()
'145.5 to 160 A'
>>> told.verdicts[0].outcome
'7 of 8'
"""

from __future__ import annotations

from decimal import Decimal

from catalog.rules.calculators.answer import Answer, Figure, Row, Source, Step, Verdict
from catalog.rules.calculators.calculator import Calculator
from catalog.rules.calculators.digits import ZERO, shown
from catalog.rules.calculators.heaters import (
    Bank,
    consistent,
    counts_in_words,
    expected,
    uncertainty,
)
from catalog.rules.calculators.parameter import Given
from catalog.rules.calculators.sheets.bank_asked import PARAMETERS, UNITS
from shop.rules.errors import Refused


def _work(given: Given) -> Answer:
    least = given.quantity("resistance")
    most = given.maybe("resistance_max")
    bank = Bank(
        given.quantity("supply"),
        least,
        least if most is None else most,
        int(given.quantity("count")),
        given.maybe("leads") or ZERO,
    )
    asked = given.text("show_current")
    counts, verdicts = None, []
    if given.has("measured"):
        measured = given.quantity("measured")
        around = uncertainty(measured, given.quantity("meter_percent"), given.quantity("meter_amperes"))
        counts = consistent(bank, measured, around)
        verdicts.append(_verdict(bank, measured, around, counts))
    elif given.quantity("meter_percent") or given.quantity("meter_amperes"):
        raise Refused.single(
            "measured", "is missing", "give the measured current, or leave the meter’s accuracy out"
        )
    low, high = expected(bank, bank.count)
    nominal = low if low == high else None
    alone = expected(bank, 1)
    return Answer(
        (
            Figure("current", "Current of the bank", "A", nominal, low, high, asked),
            Figure("each", "Current of one heater alone", "A", alone[0] if nominal else None, *alone, asked),
        ),
        tuple(verdicts),
        (_step(bank, low, high),),
        (Source("Ohm’s law", "current of equal heaters side by side, behind the leads"),),
        cautions=(
            "High current: a bank can draw well over 100 A and heats wires, contacts and tools at once. Use "
            "a clamp meter, take rings off, keep starting sprays and fuel vapour away. Heaters stay "
            "hot for long.",
        ),
        notes=(
            "Heaters gain resistance as they heat up: a current read after the first second is lower than "
            "worked out from cold figures, and fewer heaters seem to work than do.",
            "The supply is the voltage at the bank while it is on, not the battery’s at rest.",
            "Rounded half up to four figures, at the end.",
        ),
        rows=tuple(_row(bank, count, counts, asked) for count in range(bank.count + 1)),
    )


def _verdict(bank: Bank, measured: Decimal, around: Decimal, counts: tuple[int, ...]) -> Verdict:
    span = f"{shown(measured)} A, give or take {shown(around, 3)} A"
    words = counts_in_words(counts, bank.count)
    if counts:
        low, high = expected(bank, counts[0])[0], expected(bank, counts[-1])[1]
        drawn = f"{shown(low)} A" if low == high else f"{shown(low)} to {shown(high)} A"
        why = f"{span}, agrees with {words}: together {drawn}."
        if words.startswith("none of"):
            why = f"{span}: that is no current, as with no heater working or no supply."
    elif measured > expected(bank, bank.count)[1]:
        why = (
            f"{span} is more than all {bank.count} draw ({shown(expected(bank, bank.count)[1])} A at most): "
            "something else draws current, a heater is shorted, or the resistance is not right."
        )
    else:
        below = max(count for count in range(bank.count + 1) if expected(bank, count)[1] < measured)
        why = (
            f"{span} lies between what {below} draw at most ({shown(expected(bank, below)[1])} A) and "
            f"{below + 1} at least ({shown(expected(bank, below + 1)[0])} A): bad contact, heaters of "
            "another resistance or already hot, or another supply voltage."
        )
    return Verdict("count", "Heaters that account for it", words, why)


def _step(bank: Bank, low: Decimal, high: Decimal) -> Step:
    def told(ohms: Decimal, amperes: Decimal) -> str:
        leads = f"{shown(bank.leads)} + " if bank.leads else ""
        return f"{shown(bank.supply)} V / ({leads}{shown(ohms)} Ω / {bank.count}) = {shown(amperes)} A"

    numbers = told(bank.resistance_max, low)
    if low != high:
        numbers = f"least {numbers}; most {told(bank.resistance_min, high)}"
    return Step("I = U / (leads + R / number of heaters)", numbers)


def _row(bank: Bank, count: int, counts: tuple[int, ...] | None, asked: str) -> Row:
    least, most = expected(bank, count)
    remark = "" if counts is None else "agrees" if count in counts else "does not agree"
    nominal = least if least == most else None
    return Row(str(count), remark, (Figure("current", "Current", "A", nominal, least, most, asked),))


HEATERS = Calculator(
    "heater-bank",
    "Heater bank",
    "The current a bank of glow plugs or intake heaters should draw, and how many a measured current "
    "accounts for.",
    PARAMETERS,
    UNITS,
    ("current", "each"),
    _work,
    "600 mΩ",
    ("current",),
    "What so many heaters draw",
    "Heaters",
)
