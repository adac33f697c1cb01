"""What a calculator asks for: its entries, the units to choose, and what was read of them.

How what is typed is read is in catalog.rules.calculators.entries.

>>> Parameter("depth", "Gland depth", "mm", most=Decimal(100)).required
True
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from catalog.rules.calculators.digits import ZERO


@dataclass(frozen=True, slots=True)
class Parameter:
    """One entry. With a `unit` it is a quantity; with `choices` one of them; with neither a text.

    Limits are in `unit`; `from_least` says whether the least value itself is allowed. `unit_by` names the
    UnitChoice that plain numbers follow. `whole` asks for a whole number. `example` documents it.
    """

    name: str
    label: str
    unit: str | None = None
    least: Decimal = ZERO
    most: Decimal = ZERO
    from_least: bool = False
    whole: bool = False
    required: bool = True
    default: str = ""
    unit_by: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""
    example: str = ""


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """A unit to choose: that plain numbers are read in, or with `shows` the one that results are told in.

    Never both: whoever asks for a result in millivolts must not turn 12 V typed as 12 into 12 mV.
    """

    name: str
    label: str
    default: str
    shows: bool = False


class Given:
    """What was read: quantities in the parameter's own unit, texts as typed, None where nothing was given."""

    def __init__(self, quantities: Mapping[str, Decimal], texts: Mapping[str, str]) -> None:
        self._quantities, self._texts = quantities, texts

    def quantity(self, name: str) -> Decimal:
        return self._quantities[name]

    def maybe(self, name: str) -> Decimal | None:
        return self._quantities.get(name)

    def text(self, name: str) -> str:
        return self._texts.get(name, "")

    def has(self, name: str) -> bool:
        return name in self._quantities or name in self._texts
