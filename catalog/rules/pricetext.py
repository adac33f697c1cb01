"""A price as a supplier typed it, read without guessing.

One list writes 1234.50, the next 1234,50, a third 1,234.50 or 1.234,50 or 1 234,50: each of these can mean
one thing only. But 1.234 can be one and a bit or one thousand two hundred and thirty-four, and so can 1,234.
Such a price is not taken until somebody has said which sign this supplier puts before the cents.

>>> amount("1.234,50"), amount("1,234.50"), amount("0,123")
(('1234.50', 'comma'), ('1234.50', 'point'), ('0.123', 'comma'))
>>> amount("1,234", "comma"), amount("1,234", "point")
(('1.234', 'comma'), ('1234', 'point'))
>>> amount("1,234")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: price: '1,234' can mean 1.234 or 1234; say which sign this file puts before decimals, a point or a comma
"""  # noqa: E501

from __future__ import annotations

import re

from shop.rules.errors import Refused

SIGNS = {"point": ".", "comma": ","}
_OTHER = {"point": "comma", "comma": "point"}
_NAMES = {".": "point", ",": "comma"}
# Spaces (also narrow and no-break ones) and apostrophes between thousands mean nothing else.
_SPACED = "\u0020\u00a0\u2009\u202f'\u2019"
_WHOLE = re.compile(r"-?[0-9]+")
_ONE_SIGN = re.compile(r"(-?)([0-9]+)([.,])([0-9]+)")
_GROUPED = re.compile(rf"(-?[0-9]{{1,3}}(?:([.,{_SPACED}])[0-9]{{3}})(?:\2[0-9]{{3}})*)(?:([.,])([0-9]+))?")
_WITH_CURRENCY = re.compile(r"[^0-9\-]*(-?[0-9][0-9.,]*)[^0-9]*")
LONGEST = 40


def amount(text: str, sign: str = "") -> tuple[str, str]:
    """The number in plain digits with a decimal point, and the decimal sign the text gives away ("" if none).

    `sign` is "point" or "comma" where it is known, "" where the text has to speak for itself. Raises Refused
    for what is no number, what could be two, and what contradicts the known sign.
    """
    if len(text) > LONGEST:
        raise _refused(text[:LONGEST], "is too long for a price", "give a number such as 12.50")
    if _WHOLE.fullmatch(text):
        return text, ""
    if found := _ONE_SIGN.fullmatch(text):
        return _with_one_sign(text, found, sign)
    if found := _GROUPED.fullmatch(text):
        grouped, between, mark, decimals = found.groups()
        if between != mark:
            used = _NAMES[mark] if mark else _OTHER[_NAMES[between]] if between in _NAMES else ""
            _agrees(text, used, sign)
            whole = re.sub(r"[^0-9\-]", "", grouped)
            return f"{whole}.{decimals}" if mark else whole, used
    bare = _WITH_CURRENCY.fullmatch(text)
    if bare and bare[1] != text:
        raise _refused(
            text, "is not a number alone", f"write {bare[1]}: the currency is stated with the supplier"
        )
    raise _refused(text, "is not a number", "give a number such as 12.50")


def _with_one_sign(text: str, found: re.Match[str], sign: str) -> tuple[str, str]:
    minus, whole, mark, decimals = found.groups()
    used = _NAMES[mark]
    may_group = len(decimals) == 3 and len(whole) <= 3 and not whole.startswith("0")
    if may_group and not sign:
        raise _refused(
            text,
            f"can mean {minus}{whole}.{decimals} or {minus}{whole}{decimals}",
            "say which sign this file puts before decimals, a point or a comma",
        )
    if may_group and sign != used:
        return f"{minus}{whole}{decimals}", sign
    _agrees(text, used, sign)
    return f"{minus}{whole}.{decimals}", used


def _agrees(text: str, used: str, sign: str) -> None:
    if used and sign and used != sign:
        raise _refused(
            text,
            f"has a decimal {used}, the rest of this file a {sign}",
            f"write it with a {sign}, or say that this file has a decimal {used}",
        )


def _refused(text: str, what: str, right: str) -> Refused:
    return Refused.single("price", f"'{text}' {what}", right)
