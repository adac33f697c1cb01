"""What a person types, checked before anything is made of it.

A file, a form and an API call all hand over plain values; what is wrong with them is collected as faults that
say where, what, and what would be right. Nothing is half taken.

>>> faults = Faults()
>>> decimal_entry("3 Ohm", "readings[0], value", faults) is None
True
>>> print(faults[0])
readings[0], value: '3 Ohm' is not a number; write the number alone, like 0.9; the unit has a field of its own
"""

from __future__ import annotations

import difflib
from collections.abc import Collection, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any
from unicodedata import category

from shop.rules.errors import Fault, Refused

WHOLE_DIGITS, PLACES = 12, 6


class Faults(list[Fault]):
    """Faults found so far."""

    def add(self, where: str, what: str, right: str) -> None:
        self.append(Fault(where, what, right))

    def near(self, where: str, what: str, given: str, known: Collection[str]) -> None:
        """`given` is not among `known`: name the closest, or all of a short list."""
        close = difflib.get_close_matches(given, list(known), n=3, cutoff=0.5)
        listed = close or sorted(known)[:12]
        self.add(
            where,
            f"no {what} '{given}'",
            f"use {' or '.join(listed)}" if listed else f"there is no {what} here",
        )

    def refuse(self) -> None:
        """Raise Refused if there are any."""
        if self:
            raise Refused(self)


def keys_entry(
    raw: Any, where: str, required: Collection[str], optional: Collection[str], faults: Faults
) -> bool:
    """Whether `raw` is an object with these keys and no others."""
    if not isinstance(raw, Mapping):
        faults.add(where, "is not an object", 'write it in braces, {"...": ...}')
        return False
    before = len(faults)
    for key in required:
        if key not in raw:
            faults.add(f"{where}, {key}", "is missing", "give it")
    for key in raw:
        if key not in required and key not in optional:
            faults.near(f"{where}, {key}", "such field", str(key), [*required, *optional])
    return len(faults) == before


def text_entry(raw: Any, where: str, faults: Faults, *, longest: int, required: bool = False) -> str:
    """Text without control characters, at most `longest` characters; "" for None."""
    if raw is None:
        raw = ""
    if not isinstance(raw, str):
        faults.add(where, f"{raw!r} is not text", "write it in quotation marks")
        return ""
    text = raw.strip()
    if required and not text:
        faults.add(where, "is empty", "give it")
    if len(text) > longest:
        faults.add(where, f"has {len(text)} characters", f"use at most {longest}")
    if any(category(character) == "Cc" and character not in "\n\r\t" for character in text):
        faults.add(where, "has control characters in it", "use plain text")
    # A lone surrogate cannot be written to any file; the last two places of a plane are no characters.
    if any(category(character) == "Cs" or ord(character) & 0xFFFE == 0xFFFE for character in text):
        faults.add(where, "has half a character in it", "use plain text")
    return text


def decimal_entry(raw: Any, where: str, faults: Faults) -> Decimal | None:
    """A finite decimal that fits the columns it may be kept in; None with a fault otherwise."""
    if isinstance(raw, bool) or not isinstance(raw, (str, int, Decimal)):
        faults.add(where, f"{raw!r} is not a number", "write a plain number, like 0.9")
        return None
    if isinstance(raw, str) and not raw.strip():
        faults.add(where, "is empty", "write a plain number, like 0.9")
        return None
    if isinstance(raw, str) and "_" in raw:
        # Python would read 1_2 as 12; a person may have meant 1.2.
        faults.add(where, f"'{raw}' is not a number", "write plain digits, like 0.9")
        return None
    try:
        value = Decimal(raw.strip() if isinstance(raw, str) else raw)
    except InvalidOperation:
        hint = "write the number alone, like 0.9; the unit has a field of its own"
        if isinstance(raw, str) and "," in raw:
            hint = "write a point, not a comma: 0.9"
        faults.add(where, f"'{raw}' is not a number", hint)
        return None
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int):
        faults.add(where, f"{raw} is not a finite number", "write a plain number, like 0.9")
        return None
    if -exponent > PLACES or value.adjusted() >= WHOLE_DIGITS:
        faults.add(
            where, f"{raw} is out of range", f"use at most {WHOLE_DIGITS} digits and {PLACES} decimals"
        )
        return None
    return value if exponent <= 0 else value.quantize(Decimal(1))


def whole_entry(raw: Any, where: str, faults: Faults, *, least: int, most: int) -> int | None:
    """A whole number from `least` to `most`."""
    value = decimal_entry(raw, where, faults)
    if value is None:
        return None
    if value != value.to_integral_value() or not least <= value <= most:
        faults.add(where, f"{raw} is not a whole number from {least} to {most}", "give one that is")
        return None
    return int(value)
