"""An application rule as it stands on the card, and what is known of the engine in front of you.

A rule says: this part serves (or is excluded from) this engine family, at these positions, so many
per position, for engines built between these days, with serial numbers in this range, with these
options. Limits left empty limit nothing; both ends of a limit belong to it. A rule that contradicts
itself, such as an end before its beginning, cannot be written down at all.

>>> Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, date(2014, 3, 1), date(2013, 12, 31),
...      None, None, ())
Traceback (most recent call last):
    ...
shop.rules.errors.Refused: application R1, build dates: they end on 2013-12-31 before they begin on \
2014-03-01; give the earlier day first

Should the catalogue hold such a rule all the same, it is read as broken: a part that hangs on it cannot be
judged until the rule is put right, and every other part can.

>>> Rule.stored("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 0, None, None, None, None, ()).broken
'quantity: 0 is too few; give 1 or more'
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, cast, get_args

from catalog.rules.interval import DateInterval
from shop.rules.errors import Fault, Refused

Polarity = Literal["applies", "excludes"]
Scope = Literal["engine", "bank", "cylinder"]
_POLARITIES, _SCOPES = get_args(Polarity), get_args(Scope)


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """What is known of one engine: its family's code, the days it may have been built, its serial
    number as recorded (None: not known), and its options by name; an option that is absent or empty is
    not known."""

    family: str
    built: DateInterval
    serial: str | None
    options: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Rule:
    """One application rule. `position` is the code of the one place it is limited to, None being every
    place of its scope; `quantity` is per position; `options` are pairs of option name and value, all
    of which are asked for. Raises Refused, with every fault, when the rule contradicts itself; `broken` is
    set by `stored` alone and says what to correct."""

    key: str
    part: str
    family: str
    polarity: Polarity
    scope: Scope
    position: str | None
    quantity: int
    built_from: date | None
    built_until: date | None
    serial_from: str | None
    serial_until: str | None
    options: tuple[tuple[str, str], ...]
    broken: str = ""

    def __post_init__(self) -> None:
        if self.broken:
            return
        faults = self._faults()
        if faults:
            raise Refused(faults)

    @classmethod
    def stored(
        cls,
        key: str,
        part: str,
        family: str,
        polarity: str,
        scope: str,
        position: str | None,
        quantity: int,
        built_from: date | None,
        built_until: date | None,
        serial_from: str | None,
        serial_until: str | None,
        options: tuple[tuple[str, str], ...],
    ) -> Rule:
        """The rule as the catalogue holds it. One that contradicts itself is not refused: it is marked
        `broken`, with what to correct, so that it leaves open what hangs on it and stops nothing else."""
        limits = (built_from, built_until, serial_from, serial_until)
        place = (cast(Polarity, polarity), cast(Scope, scope), position, quantity)
        try:
            return cls(key, part, family, *place, *limits, options)
        except Refused as refused:
            told = "; ".join(
                f"{fault.where.partition(', ')[2] or 'it'}: {fault.what}; {fault.right}"
                for fault in refused.faults
            )
            return cls(key, part, family, *place, *limits, options, told)

    def _faults(self) -> list[Fault]:
        where, found = f"application {self.key}", []  # many thousands are read a minute: nothing dear here
        if self.polarity not in _POLARITIES:
            found.append(Fault(where, f"'{self.polarity}' is no polarity", "say applies or excludes"))
        if self.scope not in _SCOPES:
            found.append(Fault(where, f"'{self.scope}' is no scope", "say engine, bank or cylinder"))
        if self.quantity < 1 and self.polarity == "applies":
            found.append(Fault(f"{where}, quantity", f"{self.quantity} is too few", "give 1 or more"))
        if self.built_from and self.built_until and self.built_until < self.built_from:
            what = f"they end on {self.built_until} before they begin on {self.built_from}"
            found.append(Fault(f"{where}, build dates", what, "give the earlier day first"))
        if len(self.options) > 1 and len({name for name, _ in self.options}) < len(self.options):
            what = "one option is named twice, and no engine has two values of it"
            found.append(Fault(f"{where}, options", what, "write one rule for each value"))
        return found
