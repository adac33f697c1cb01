"""Part numbers that are one slip of the finger away from the one that was asked for.

A number read over the telephone or typed from a greasy label usually has one mark wrong: one left out,
one too many, one mistaken for another, or two neighbours swapped. All such numbers are listed, to be
looked up at once; a counter then says "no such number, but there is this one".

>>> "GX1042" in one_slip_away("GX142"), "GX1042" in one_slip_away("GX10442")
(True, True)
>>> "GX1042" in one_slip_away("GX1O42"), "GX1042" in one_slip_away("XG1042")
(True, True)
>>> "GX1042" in one_slip_away("GX1042"), "GX1042" in one_slip_away("GX1024A")
(False, False)

A number of n marks has about 75 n such neighbours. Source: F. J. Damerau, A technique for computer detection
and correction of spelling errors, Communications of the ACM 7 (1964), 171-176: these four slips are most of
all misspellings.
"""

from __future__ import annotations

from string import ascii_uppercase, digits

MARKS = ascii_uppercase + digits
LONGEST = 24


def one_slip_away(number: str) -> frozenset[str]:
    """Every number one slip from `number`, itself left out; both in the normalised form of partnumber.

    Empty for a number longer than any label carries, whose neighbours would be thousands.
    """
    if len(number) > LONGEST:
        return frozenset()
    cuts = [(number[:place], number[place:]) for place in range(len(number) + 1)]
    left_out = {left + right[1:] for left, right in cuts if right}
    swapped = {left + right[1] + right[0] + right[2:] for left, right in cuts if len(right) > 1}
    mistaken = {left + mark + right[1:] for left, right in cuts if right for mark in MARKS}
    too_many = {left + mark + right for left, right in cuts for mark in MARKS}
    return frozenset((left_out | swapped | mistaken | too_many) - {number, ""})
