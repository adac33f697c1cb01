"""Serial numbers, compared as the engine maker counts them and not as text.

A family's serial numbers have a prefix (or none) and a fixed count of figures: with the prefixes TA
and TB and six figures, TA000001 is the first engine, TA999999 is followed by TB000000, and so on. As
text "TB000010" would come before "tb-9"; under the scheme there is no such doubt. Capitals, spaces,
dashes, dots and slashes do not matter. A number with a figure too few or too many is refused, because
nobody can tell which figure went missing: leading zeros have to be given.

>>> scheme = SerialScheme("TX", ("TA", "TB"), 6)
>>> print(scheme.parse("ta 000-120"))
TA000120
>>> scheme.parse("TA999999") < scheme.parse("TB000000")
True
>>> scheme.parse("TA120")
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: serial number: 'TA120' does not follow the scheme TX; give TA or TB and then 6 \
figures, leading zeros included, such as TA000120

Numbers of two schemes have no order; asking for one is an error in the program, not in the input.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from catalog.rules.partnumber import normalise
from shop.rules.errors import Fault, Refused


@dataclass(frozen=True, slots=True)
class SerialScheme:
    """How one engine family counts: `prefixes` in the order they were used, then `digits` figures.

    No prefix at all is () or (""). Prefixes are compared normalised. Raises Refused when the scheme
    itself could not tell two engines apart (no figures, a prefix listed twice).
    """

    key: str
    prefixes: tuple[str, ...]
    digits: int

    def __post_init__(self) -> None:
        where = f"serial scheme {self.key}"
        prefixes = tuple(normalise(prefix) if prefix else "" for prefix in self.prefixes) or ("",)
        faults = []
        if not 1 <= self.digits <= 20:
            faults.append(Fault(where, f"it cannot count with {self.digits} figures", "give 1 to 20 figures"))
        if len(set(prefixes)) < len(prefixes):
            faults.append(Fault(where, "a prefix is listed twice", "list each prefix once, in order of use"))
        if faults:
            raise Refused(faults)
        object.__setattr__(self, "prefixes", prefixes)

    @classmethod
    def stored(cls, key: str, prefixes: tuple[str, ...], digits: int) -> SerialScheme | None:
        """The scheme as the catalogue holds it; None where it was stored although it contradicts itself.
        Then serial numbers of the family cannot be compared, and nothing else stops."""
        return _stored(key, prefixes, digits)

    @property
    def size(self) -> int:
        """How many serial numbers the scheme has; their places run from 0 to size - 1."""
        return len(self.prefixes) * self.per_prefix

    @property
    def per_prefix(self) -> int:
        """How many serial numbers one prefix has."""
        return int(10**self.digits)

    def parse(self, text: str) -> Serial:
        """The serial number written in `text`. Raises Refused when it does not follow the scheme."""
        compact = normalise(text) if text.strip() else ""
        prefix, figures = compact[: -self.digits], compact[-self.digits :]
        if not (len(figures) == self.digits and figures.isascii() and figures.isdecimal()):
            raise self._refusal(text)
        if prefix not in self.prefixes:
            raise self._refusal(text)
        return Serial(prefix, int(figures), self)

    def read(self, text: str) -> Serial | None:
        """Like `parse`, with None in place of a refusal. Remembered, so asking again is cheap."""
        return _read(self, text)

    def place(self, text: str) -> int | None:
        """The place of a serial number in the row of all of them, or None when it cannot be read."""
        return _place(self, text)

    def at(self, place: int) -> Serial:
        """The serial number at a place, from 0 to size - 1."""
        prefix, number = divmod(place, self.per_prefix)
        return Serial(self.prefixes[prefix], number, self)

    def span(self, start: str | None, until: str | None) -> tuple[int, int] | None:
        """First and last place of a range, both ends included; an end left open (None or empty) is the
        scheme's own. None when an end cannot be read. A range written backwards holds no place."""
        return _span(self, start or None, until or None)

    def check_range(self, start: str | None, until: str | None) -> None:
        """Raises Refused when an end of a range cannot be read, or the range runs backwards."""
        ends = [self.parse(text) for text in (start, until) if text]
        if len(ends) == 2 and ends[1] < ends[0]:
            raise Refused.single(
                "serial number range",
                f"it runs backwards, from {ends[0]} to {ends[1]}",
                "give the earlier number first",
            )

    def example(self, number: int = 120) -> str:
        """A serial number as it looks under this scheme, for messages and forms."""
        return str(Serial(self.prefixes[0], number % self.per_prefix, self))

    def describe(self) -> str:
        """The form of a serial number in words."""
        prefixes = " or ".join(prefix for prefix in self.prefixes if prefix)
        optional = " (or no letters)" if prefixes and "" in self.prefixes else ""
        figures = f"{self.digits} figure{'s' if self.digits > 1 else ''}, leading zeros included"
        return f"{prefixes}{optional} and then {figures}" if prefixes else figures

    def _refusal(self, text: str) -> Refused:
        shown = f"'{text.strip()}' does not follow the scheme {self.key}" if text.strip() else "it is empty"
        return Refused.single("serial number", shown, f"give {self.describe()}, such as {self.example()}")


@dataclass(frozen=True, slots=True)
class Serial:
    """One serial number: its prefix, its figures as a number, and the scheme they follow."""

    prefix: str
    number: int
    scheme: SerialScheme

    @property
    def place(self) -> int:
        """Its place in the row of all serial numbers of the scheme, from 0."""
        return self.scheme.prefixes.index(self.prefix) * self.scheme.per_prefix + self.number

    def __str__(self) -> str:
        return f"{self.prefix}{self.number:0{self.scheme.digits}d}"

    def __lt__(self, other: Serial) -> bool:
        return self.place < self._same_scheme(other).place

    def __le__(self, other: Serial) -> bool:
        return self.place <= self._same_scheme(other).place

    def _same_scheme(self, other: Serial) -> Serial:
        if self.scheme != other.scheme:
            raise ValueError(f"{self} and {other} follow two schemes and have no order")
        return other


# A thousand families follow a few dozen schemes.
@lru_cache(maxsize=1024)
def _stored(key: str, prefixes: tuple[str, ...], digits: int) -> SerialScheme | None:
    try:
        return SerialScheme(key, prefixes, digits)
    except Refused:
        return None


# The same few thousand texts are read again for every part that is judged.
@lru_cache(maxsize=65_536)
def _read(scheme: SerialScheme, text: str) -> Serial | None:
    try:
        return scheme.parse(text)
    except Refused:
        return None


@lru_cache(maxsize=65_536)
def _place(scheme: SerialScheme, text: str) -> int | None:
    serial = _read(scheme, text)
    return None if serial is None else serial.place


@lru_cache(maxsize=65_536)
def _span(scheme: SerialScheme, start: str | None, until: str | None) -> tuple[int, int] | None:
    first = 0 if start is None else _place(scheme, start)
    last = scheme.size - 1 if until is None else _place(scheme, until)
    return None if first is None or last is None else (first, last)
