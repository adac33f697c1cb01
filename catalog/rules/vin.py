"""The 17-character vehicle identification number, as a help against misreading; never a gate.

The number is engraved, read by lamp light and typed with cold fingers. In North America its ninth
character checks the others: each letter stands for a figure, each place has a weight, and the sum
divided by 11 leaves the check character (10 is written X). Elsewhere the ninth character is free, so
a number that fails may still be the right one: the counter gets a warning to look again, not a
refusal. A number of another length (a hull number, an old vehicle, a machine) is simply recorded.

>>> check_character("11111111?11111111")
'1'
>>> warning("11111111111111111") is None
True
>>> print(warning("11111111111111112"))
the check character (place 9) is 1 where the North American rule gives 3: read the number again; \
vehicles built for other markets need not follow that rule

Sources: 49 CFR 565.15(c), Tables III to V (values, weights, remainder) and 565.15(d)(1) with (b)
(model year); outside North America ISO 3779, which does not demand a check character.
"""

from __future__ import annotations

_VALUES = {str(figure): figure for figure in range(10)}
_VALUES |= dict(zip("ABCDEFGH", range(1, 9), strict=True))
_VALUES |= dict(zip("JKLMN", range(1, 6), strict=True)) | {"P": 7, "R": 9}
_VALUES |= dict(zip("STUVWXYZ", range(2, 10), strict=True))
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
# A is 1980, Y is 2000, 1 is 2001, 9 is 2009, then from the start again; I, O, Q, U, Z and 0 are no year.
_YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"


def compact(text: str) -> str:
    """The number without spaces and dashes, in capitals: the form in which it is recorded."""
    return "".join(text.split()).replace("-", "").upper()


def check_character(vin: str) -> str:
    """The ninth character the other sixteen ask for: a figure or X.

    `vin` has 17 characters; whatever stands ninth is not looked at. Raises ValueError for another
    length or for a letter that has no value (I, O, Q), which `warning` sorts out beforehand.
    """
    number = compact(vin)
    total = sum(
        weight * (0 if weight == 0 else _value(character))
        for weight, character in zip(_WEIGHTS, number, strict=True)
    )
    return "0123456789X"[total % 11]


def warning(vin: str) -> str | None:
    """What to look at again in a 17-character number, in words, or None. Other lengths: None."""
    number = compact(vin)
    if len(number) != 17:
        return None
    wrong = sorted({character for character in number if character not in _VALUES})
    if wrong:
        return (
            f"{', '.join(wrong)} cannot stand in a vehicle identification number "
            "(the letters I, O and Q are left out because they look like 1 and 0): read the number again"
        )
    right = check_character(number)
    if number[8] == right:
        return None
    return (
        f"the check character (place 9) is {number[8]} where the North American rule gives {right}: "
        "read the number again; vehicles built for other markets need not follow that rule"
    )


def model_years(vin: str, *, light_vehicle: bool = False) -> tuple[int, ...]:
    """The model years the tenth character may stand for, 1980 to 2039; () when it stands for none.

    The letters repeat every 30 years. Only for cars and for trucks up to 4536 kg (`light_vehicle`)
    does place 7 tell which: a figure means up to 2009, a letter from 2010 on. A model year is not a
    build date, and only North American numbers carry one.
    """
    number = compact(vin)
    if len(number) != 17 or number[9] not in _YEARS:
        return ()
    first = 1980 + _YEARS.index(number[9])
    if not light_vehicle:
        return (first, first + 30)
    return (first,) if number[6].isdecimal() else (first + 30,)


def _value(character: str) -> int:
    if character not in _VALUES:
        raise ValueError(f"{character!r} has no value in a vehicle identification number")
    return _VALUES[character]
