"""One cell of a CSV into a typed value, or what is wrong with it.

Types and constraints are those of Table Schema (https://specs.frictionlessdata.io/table-schema/, version 1):
numbers with a point, dates as year-month-day, true and false in the spellings listed there.
"""

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from difflib import get_close_matches

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from catalog.packs.columns import Column
from catalog.packs.faults import Wrong
from catalog.packs.pack import Value
from catalog.rules.gtin import normalise as gtin
from catalog.rules.partnumber import comparable
from catalog.rules.partnumber import normalise as part_number
from shop.rules.currency import minor_units
from shop.rules.errors import Refused
from shop.rules.units import unit

NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
WITH_UNIT = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)\s*[^0-9\s.,].*")
# The Unicode categories Cc and Cs, but for tabs and line ends.
CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
BOOLEANS = dict.fromkeys(("true", "True", "TRUE", "1"), True) | dict.fromkeys(
    ("false", "False", "FALSE", "0"), False
)
SUCH_AS = {
    "integer": "a whole number such as 2",
    "number": "a number such as 12.5",
    "date": "a date such as 2024-06-30",
    "boolean": "true or false",
    "string": "a text",
}
LONGEST_NUMBER = 40


def value_of(column: Column, text: str) -> Value:
    """The value in the cell. An empty cell is None, or "" where it is a text of its own. Raises Wrong."""
    if not text:
        if column.required:
            raise Wrong("is empty", f"give {_expected(column)}")
        return "" if column.type == "string" and not column.refers else None
    if text != text.strip():
        raise Wrong(f"{text!r} has a space before or behind it", f"write {text.strip()!r} without it")
    return READERS[column.type](column, text)


def _integer(column: Column, text: str) -> Value:
    if not NUMBER.fullmatch(text) or "." in text or len(text) > LONGEST_NUMBER:
        raise Wrong(f"{text[:LONGEST_NUMBER]!r} is not a whole number", f"give {_expected(column)}")
    return int(_within(column, Decimal(text)))


def _number(column: Column, text: str) -> Value:
    if not NUMBER.fullmatch(text) or len(text) > LONGEST_NUMBER:
        raise Wrong(f"{text[:LONGEST_NUMBER]!r} is not a number", _number_meant(column, text))
    value = _within(column, Decimal(text))
    _, digits, exponent = value.as_tuple()
    if -int(exponent) > column.places:
        raise Wrong(f"{text} has {-int(exponent)} decimal places", f"give at most {column.places}")
    if abs(value) >= 10 ** (column.digits - column.places) or len(digits) > column.digits:
        raise Wrong(f"{text} has too many digits", f"give at most {column.digits}, decimal places included")
    return value


def _number_meant(column: Column, text: str) -> str:
    if re.fullmatch(r"-?[0-9]+,[0-9]+", text):
        return "write a decimal point, not a comma, and nothing between thousands"
    if found := WITH_UNIT.fullmatch(text):
        return f"write the number alone, {found[1]}: its unit or currency is stated in its own column"
    return f"give {_expected(column)}"


def _within(column: Column, value: Decimal) -> Decimal:
    if column.low is not None and value < column.low:
        raise Wrong(f"{value} is below {column.low}", f"give {column.low} or more")
    if column.high is not None and value > column.high:
        raise Wrong(f"{value} is above {column.high}", f"give {column.high} or less")
    return value


def _date(column: Column, text: str) -> Value:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise Wrong(f"{text!r} is not a date", "write year-month-day, such as 2024-06-30")
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Wrong(f"{text} is not in the calendar", "write year-month-day, such as 2024-06-30") from None


def _boolean(column: Column, text: str) -> Value:
    if text not in BOOLEANS:
        raise Wrong(f"{text!r} is neither true nor false", "write true or false")
    return BOOLEANS[text]


def _string(column: Column, text: str) -> Value:
    if CONTROL.search(text):
        raise Wrong(
            "has an invisible control character in it", "type the text anew, or paste it as plain text"
        )
    if column.longest is not None and len(text) > column.longest:
        raise Wrong(f"is {len(text)} characters long", f"give at most {column.longest}")
    if column.choices and text not in column.choices:
        near = get_close_matches(text.lower(), column.choices, n=1)
        hint = f"did you mean {near[0]}? " if near else ""
        raise Wrong(f"{text!r} is not known here", f"{hint}write one of {', '.join(column.choices)}")
    if column.pattern and not re.search(column.pattern, text):
        raise Wrong(f"{text!r} is not written as it must be", _lower_first(column.pattern_says))
    return _ruled(column, text)


def _ruled(column: Column, text: str) -> Value:
    if not column.rule:
        return text
    try:
        kept = RULES[column.rule](text)
    except Refused as refused:
        raise Wrong(refused.faults[0].what, refused.faults[0].right) from None
    if column.longest is not None and len(kept) > column.longest:
        # One sign may stand for several: U+FB03 is the letters ffi.
        raise Wrong(
            f"is {len(kept)} characters long, ligatures counted as their letters",
            f"give at most {column.longest}",
        )
    # The brand's own spelling is kept where the part is described, and compared where it is referred to.
    return kept if column.refers or column.rule not in COMPARED else text


def _currency(text: str) -> str:
    minor_units(text)
    return text


def _email(text: str) -> str:
    try:
        validate_email(text)
    except ValidationError:
        raise Wrong(f"{text!r} is not an e-mail address", "write one such as parts@example.com") from None
    return text


def _expected(column: Column) -> str:
    return f"one of {', '.join(column.choices)}" if column.choices else SUCH_AS[column.type]


def _lower_first(sentence: str) -> str:
    return (sentence[:1].lower() + sentence[1:]).rstrip(".")


READERS: dict[str, Callable[[Column, str], Value]] = {
    "integer": _integer,
    "number": _number,
    "date": _date,
    "boolean": _boolean,
    "string": _string,
}
RULES: dict[str, Callable[[str], str]] = {
    "unit": lambda text: unit(text).code,
    "currency": _currency,
    "gtin": gtin,
    "part number": part_number,
    "supplier's number": comparable,
    "email": _email,
}
COMPARED = ("part number", "supplier's number")
