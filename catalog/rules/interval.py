"""Build dates as far as they are known: a day, a month, a year, or not at all.

"Built in 2014" is not a date, it is a stretch of days, and it is kept as such: from 1 January to
31 December 2014. A part listed for engines built from March 2013 on certainly covers it, one listed
up to the end of 2013 certainly does not, and one listed from June 2014 on may or may not: then the
answer is "not known", and the exact date has to be found. Both ends of every stretch belong to it.

>>> built = DateInterval.from_text("2014")
>>> print(built)
in 2014
>>> built.within(date(2013, 3, 1), None), built.within(None, date(2013, 12, 31))
(Truth.TRUE, Truth.FALSE)
>>> built.within(date(2014, 6, 1), None)
Truth.UNKNOWN

Dates are read as ISO 8601 writes them: 2014, 2014-06 or 2014-06-03.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

from catalog.rules.kleene import Truth
from shop.rules.errors import Refused

_ISO = re.compile(r"([0-9]{4})(?:-([0-9]{2})(?:-([0-9]{2}))?)?")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_TRUE, _FALSE, _UNKNOWN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN


@dataclass(frozen=True, slots=True)
class DateInterval:
    """The days a date may be, from `earliest` to `latest`, both included; None leaves that side open."""

    earliest: date | None = None
    latest: date | None = None

    def __post_init__(self) -> None:
        if self.earliest is not None and self.latest is not None and self.latest < self.earliest:
            raise Refused.single(
                "date interval",
                f"it ends on {self.latest} before it begins on {self.earliest}",
                "give the earlier date first",
            )

    @classmethod
    def from_text(cls, text: str) -> DateInterval:
        """The interval a person wrote: a year, a month, a day, or nothing (not known). Else Refused."""
        text = text.strip()
        if not text:
            return cls(None, None)
        if len(text) == 10 and text[4] == text[7] == "-":  # a whole day, as nearly all are
            try:
                day_itself = date.fromisoformat(text)
            except ValueError:
                pass  # told below
            else:
                return cls(day_itself, day_itself)
        match = _ISO.fullmatch(text)
        try:
            if match is None:
                raise ValueError("another form")
            year, month, day = (None if part is None else int(part) for part in match.groups())
            assert year is not None  # the pattern always has one
            first = date(year, month or 1, day or 1)
            if day is not None:
                return cls(first, first)
            last_month = month or 12
            return cls(first, date(year, last_month, monthrange(year, last_month)[1]))
        except ValueError:
            raise Refused.single(
                "date",
                f"'{text}' is not a year, a month or a day of the calendar",
                "write it as 2014, 2014-06 or 2014-06-03, or leave it empty",
            ) from None

    @property
    def is_known(self) -> bool:
        """Whether anything at all is known about the date."""
        return self.earliest is not None or self.latest is not None

    @property
    def is_exact(self) -> bool:
        """Whether the date is known to the day."""
        return self.earliest is not None and self.earliest == self.latest

    def within(self, start: date | None, until: date | None) -> Truth:
        """Whether the date lies from `start` to `until`, both included, an open end being None.

        TRUE when every day it may be does, FALSE when none does, otherwise UNKNOWN.
        """
        earliest, latest = self.earliest, self.latest
        if start is not None and latest is not None and latest < start:
            return _FALSE
        if until is not None and earliest is not None and until < earliest:
            return _FALSE
        starts_inside = start is None or (earliest is not None and start <= earliest)
        ends_inside = until is None or (latest is not None and latest <= until)
        return _TRUE if starts_inside and ends_inside else _UNKNOWN

    def __str__(self) -> str:
        return self.text

    @property
    def text(self) -> str:
        """For people: "on 3 June 2014", "in June 2014", "in 2014", "between ... and ...", "not known"."""
        first, last = self.earliest, self.latest
        if first is None or last is None:
            if first is not None:
                return f"on or after {day_text(first)}"
            return f"on or before {day_text(last)}" if last is not None else "not known"
        if first == last:
            return f"on {day_text(first)}"
        if first.year == last.year and first.day == 1:
            if (first.month, last.month, last.day) == (1, 12, 31):
                return f"in {first.year}"
            if first.month == last.month and last.day == monthrange(last.year, last.month)[1]:
                return f"in {_MONTHS[first.month - 1]} {first.year}"
        return f"between {day_text(first)} and {day_text(last)}"


def stretch_text(first: date | None, last: date | None) -> str:
    """The days from `first` to `last`, an end left open being None, in years and months where they begin
    and end with one: "in June 2014 or later", "on 3 June 2014 or earlier", "in 2014"."""
    if first is None or last is None:
        if first is not None:
            return f"{_begin_text(first)} or later"
        return f"{_end_text(last)} or earlier" if last is not None else "at any time"
    if first == last:
        return f"on {day_text(first)}"
    years = (first.month, first.day, last.month, last.day) == (1, 1, 12, 31)
    begin, end = _begin_text(first, years), _end_text(last, years)
    if begin[:2] != end[:2]:  # one is a month, the other a day of one
        return f"from {day_text(first)} to {day_text(last)}"
    return begin if begin == end else f"from {begin[3:]} to {end[3:]}"


def _begin_text(day: date, years: bool = True) -> str:
    if day.day > 1:
        return f"on {day_text(day)}"
    return f"in {day.year}" if years and day.month == 1 else f"in {_MONTHS[day.month - 1]} {day.year}"


def _end_text(day: date, years: bool = True) -> str:
    if day.day < monthrange(day.year, day.month)[1]:
        return f"on {day_text(day)}"
    return f"in {day.year}" if years and day.month == 12 else f"in {_MONTHS[day.month - 1]} {day.year}"


def day_text(day: date) -> str:
    """A day for people: 3 June 2014, the same on every machine whatever its language settings."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"
