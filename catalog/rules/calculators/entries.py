"""How what is typed into a calculator is read.

A figure is typed with or without its unit: 2.62 is in the unit the calculator states, "0.103 in" and
"0.103 [in_i]" say their own (the symbol or the UCUM code, exactly). Whatever is wrong is said for each
entry, all at once, with what would be right; nothing is worked out from half an entry.

>>> depth = Parameter("depth", "Gland depth", "mm", least=Decimal(0), most=Decimal(100), example="2.0")
>>> read([depth], [], {"depth": "0.1 in"}).quantity("depth")
Decimal('2.54')
>>> read([depth], [], {"depth": "-2"})
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: depth: -2 mm is not more than 0 mm; give a value above 0 and up to 100 mm
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from catalog.rules.calculators.parameter import Given, Parameter, UnitChoice
from shop.rules.entry import Faults, decimal_entry
from shop.rules.errors import Fault, Refused
from shop.rules.units import UNITS, Unit, alike, convert, unit

LONGEST = 60


def read(parameters: Sequence[Parameter], units: Sequence[UnitChoice], given: Mapping[str, str]) -> Given:
    """Read every entry. Refused with one fault for each that is wrong, `where` being its name."""
    faults = Faults()
    chosen = {choice.name: _unit_choice(choice, given, faults) for choice in units}
    quantities: dict[str, Decimal] = {}
    texts: dict[str, str] = {name: code for name, code in chosen.items() if code}
    for parameter in parameters:
        typed = given.get(parameter.name, "").strip() or parameter.default
        if not typed:
            if parameter.required:
                faults.add(parameter.name, "is missing", f"give {_wanted(parameter)}")
        elif len(typed) > LONGEST:
            faults.add(parameter.name, f"has {len(typed)} characters", f"use at most {LONGEST}")
        elif parameter.unit is not None or parameter.whole:
            value = _quantity(parameter, typed, chosen.get(parameter.unit_by, ""), faults)
            if value is not None:
                quantities[parameter.name] = value
        elif parameter.choices and typed not in dict(parameter.choices):
            faults.near(parameter.name, "such choice", typed, list(dict(parameter.choices)))
        else:
            texts[parameter.name] = typed
    faults.refuse()
    return Given(quantities, texts)


def _unit_choice(choice: UnitChoice, given: Mapping[str, str], faults: Faults) -> str:
    typed = given.get(choice.name, "").strip() or choice.default
    try:
        return _unit(typed, choice.default).code
    except Refused as refused:
        faults += [Fault(choice.name, fault.what, fault.right) for fault in refused.faults]
        return ""


def _unit(text: str, like: str) -> Unit:
    """A unit by UCUM code, else by exactly the symbol people read; Refused unless it measures the same."""
    by_symbol = {known.symbol: known for known in UNITS.values() if known.symbol}
    found, meant = UNITS.get(text) or by_symbol.get(text), unit(like)
    right = f"use one of {', '.join(other.symbol or other.code for other in alike(like))}"
    if found is None:
        raise Refused.single("unit", f"'{text[:LONGEST]}' is not a unit known here", right)
    if found.dimension != meant.dimension:
        what = f"'{found.symbol or found.code}' measures {found.dimension}, not {meant.dimension}"
        raise Refused.single("unit", what, right)
    return found


def _quantity(parameter: Parameter, typed: str, plain: str, faults: Faults) -> Decimal | None:
    number, _, written = (typed, "", "") if parameter.unit is None else typed.partition(" ")
    if parameter.whole and not (typed.isascii() and typed.isdigit()):
        faults.add(parameter.name, f"'{typed}' is not a whole number", f"give {_wanted(parameter)}")
        return None
    value = _number(number, parameter, faults)
    if value is None:
        return None
    if parameter.unit is not None:
        try:
            written = written.strip()
            code = _unit(written, parameter.unit).code if written else plain or parameter.unit
            value = convert(value, code, parameter.unit)
        except Refused as refused:
            faults += [Fault(parameter.name, fault.what, fault.right) for fault in refused.faults]
            return None
    return _within(parameter, value, typed, faults)


def _number(text: str, parameter: Parameter, faults: Faults) -> Decimal | None:
    found = Faults()
    value = decimal_entry(text, parameter.name, found)
    example = parameter.example or "0.9"
    symbol = f" or {example} {unit(parameter.unit).symbol}".rstrip() if parameter.unit else ""
    for fault in found:
        no_number = "not a number" in fault.what and "," not in text
        faults.append(replace(fault, right=f"write it like {example}{symbol}") if no_number else fault)
    return value


def _within(parameter: Parameter, value: Decimal, typed: str, faults: Faults) -> Decimal | None:
    symbol = unit(parameter.unit).symbol if parameter.unit else ""
    least, most = f"{parameter.least:f} {symbol}".strip(), f"{parameter.most:f} {symbol}".strip()
    if value < parameter.least or (value == parameter.least and not parameter.from_least):
        told = typed if " " in typed or not symbol else f"{value:f} {symbol}"
        below = "at least" if parameter.from_least else "more than"
        faults.add(parameter.name, f"{told} is not {below} {least}", f"give {_wanted(parameter)}")
        return None
    if value > parameter.most:
        faults.add(parameter.name, f"{typed} is more than {most}", f"give {_wanted(parameter)}")
        return None
    return value


def _wanted(parameter: Parameter) -> str:
    """What would be right, in words."""
    if parameter.choices:
        return f"one of {', '.join(key for key, _ in parameter.choices)}"
    if parameter.unit is None and not parameter.whole:
        return f"it, such as {parameter.example}"
    symbol = f" {unit(parameter.unit).symbol}".rstrip() if parameter.unit else ""
    kind = "a whole number" if parameter.whole else "a value"
    if parameter.from_least:
        return f"{kind} from {parameter.least:f} to {parameter.most:f}{symbol}"
    return f"{kind} above {parameter.least:f} and up to {parameter.most:f}{symbol}"
