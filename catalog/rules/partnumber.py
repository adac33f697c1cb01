"""Part numbers, compared the way a counter reads them aloud.

One brand prints "GX-1042/B", the next list says "gx 1042 b", a third "GX.1042B". They are the same
number: capital letters or small, spaces, dashes, dots and slashes say nothing. Everything else does
count, so "GX1042B" and "GX1042" stay two numbers, and so do "1042" and "01042". The normalised form
is for comparing and searching only; what is shown is the brand's own spelling.

>>> normalise("gx-1042/b"), normalise(" GX.1042 B ")
('GX1042B', 'GX1042B')
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from shop.rules.errors import Refused

# What a number may be pasted with: any kind of space, line end or invisible mark (Z*, Cc, Cf), any kind of
# dash (Pd), and these. The minus sign and the fraction slash are mathematical signs, hence named.
_DROPPED_CATEGORIES = frozenset({"Zs", "Zl", "Zp", "Cc", "Cf", "Pd"})
_DROPPED_CHARACTERS = frozenset("./\\\u2212\u2044\u2215\u00b7")
# The same for plain letters, figures and signs in one go: a price file brings a million of them.
_PLAIN = str.maketrans(
    "",
    "",
    "".join(
        sign
        for sign in map(chr, range(128))
        if sign in _DROPPED_CHARACTERS or unicodedata.category(sign) in _DROPPED_CATEGORIES
    ),
)
_PLAIN_LINES = {sign: None for sign in _PLAIN if sign != ord("\n")}


def normalise(number: str) -> str:
    """The form two spellings of one part number share: capitals, no spaces, dashes, dots or slashes.

    Raises Refused when nothing is left. Applying it again changes nothing.
    """
    if number.isascii() and (plain := number.upper().translate(_PLAIN)):
        return plain
    kept, before = _pass(number), None
    # Taking a mark out can bring an accent next to a letter it then joins: repeat until nothing moves.
    while kept != before:
        kept, before = _pass(kept), kept
    if not kept:
        raise Refused.single(
            "part number",
            f"'{number}' has no letter or figure in it" if number.strip() else "it is empty",
            "give the number as the brand prints it, such as GX-1042",
        )
    return kept


def comparable(number: str) -> str:
    """As `normalise`, for a number that may be missing: "" where nothing is left."""
    try:
        return normalise(number)
    except Refused:
        return ""


def comparables(numbers: Sequence[str]) -> list[str]:
    """`comparable` of each, many at a time: plain ones are put through as one text.

    >>> comparables(["GX-1042/B", "", "gx 7"])
    ['GX1042B', '', 'GX7']
    """
    together = "\n".join(numbers)
    if together.isascii() and together.count("\n") == len(numbers) - 1:
        return together.upper().translate(_PLAIN_LINES).split("\n")
    return [comparable(number) for number in numbers]


def _pass(text: str) -> str:
    # The compatibility form: full-width letters from a pasted table are the same letters.
    text = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).upper())
    return "".join(
        character
        for character in text
        if character not in _DROPPED_CHARACTERS and unicodedata.category(character) not in _DROPPED_CATEGORIES
    )
