"""The number under the bar code: a trade item number (GTIN) of 8, 12, 13 or 14 figures.

Its last figure checks the others. From the right, without the check figure, the figures count three
times, once, three times, once and so on; the check figure is what is missing to the next full ten. A
single wrong figure is always caught. All four lengths are one number with zeros in front, so it is
stored with 14 figures and two lengths of one number compare equal.

>>> check_digit("629104150021")
'3'
>>> normalise("6 291041 500213")
'06291041500213'

Source: GS1 General Specifications, check digit calculation for GTIN.
"""

from __future__ import annotations

from shop.rules.errors import Refused

LENGTHS = (8, 12, 13, 14)


def check_digit(figures: str) -> str:
    """The figure that belongs behind `figures` (a GTIN without its last one, ASCII figures only)."""
    if not (figures.isascii() and figures.isdecimal()):
        raise Refused.single("GTIN", f"'{figures}' has marks other than figures", "give figures only")
    total = sum(int(figure) * (3, 1)[place % 2] for place, figure in enumerate(reversed(figures)))
    return str(-total % 10)


def normalise(text: str) -> str:
    """The GTIN in `text` with 14 figures, zeros in front. Spaces and dashes are ignored.

    Raises Refused for another length, other marks, or a check figure that does not agree.
    """
    figures = "".join(text.split()).replace("-", "")
    if not (figures.isascii() and figures.isdecimal()) or len(figures) not in LENGTHS:
        raise Refused.single(
            "GTIN",
            f"'{text.strip()}' is not 8, 12, 13 or 14 figures",
            "give the number under the bar code, the last figure included",
        )
    right = check_digit(figures[:-1])
    if figures[-1] != right:
        raise Refused.single(
            "GTIN",
            f"the check figure of '{text.strip()}' does not agree: at least one figure is wrong",
            f"compare it with the bar code (if all the others are right, the last one is {right})",
        )
    return figures.zfill(14)
