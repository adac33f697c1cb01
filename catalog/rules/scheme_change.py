"""Before a serial scheme is changed: which serial numbers on record could no longer be read.

An application limited to serials from TA500 on, and a customer's engine recorded as TA000700, rest on their
family's scheme. Take the prefix away, or a figure, and they mean nothing: the application could no longer be
held against any engine. So a change is refused while such records stand, naming the first of them. What could
not be read before is not held against the change; it may be what the change puts right.

>>> old, new = SerialScheme("TX", ("TA", "TB"), 3), SerialScheme("TX", ("TB", "TC"), 3)
>>> records = [Recorded("V8-6", "application orlin/GX-1042", "TA500", ""),
...     Recorded("V8-6", "unit U-3", "TB007", "TB007")]
>>> [record.name for record in unreadable(old, new, records)]
['application orlin/GX-1042']
>>> told = fault(unreadable(old, new, records), "prefixes")
>>> print(f"{told.where}: {told.what}: {told.right}")
prefixes: application orlin/GX-1042 (from TA500 on) of the engine family V8-6 could not be read any more: \
keep it so that this can be read, or correct that first
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from catalog.rules.serial import SerialScheme
from shop.rules.errors import Fault


@dataclass(frozen=True, slots=True)
class Recorded:
    """Serial numbers on record for an engine family: the limits of a rule ("" for an open end), or one
    engine's own number as both ends. `name` says where: "application orlin/GX-1042 no. 1", "unit U-3"."""

    family: str
    name: str
    first: str
    last: str

    def text(self) -> str:
        if self.first == self.last:
            limits = self.first
        elif self.first and self.last:
            limits = f"from {self.first} to {self.last}"
        else:
            limits = f"from {self.first} on" if self.first else f"up to {self.last}"
        return f"{self.name} ({limits}) of the engine family {self.family}"


def unreadable(
    before: SerialScheme | None, after: SerialScheme | None, records: Iterable[Recorded]
) -> tuple[Recorded, ...]:
    """The records that can be read under the scheme as it was and not, or only backwards, as it would be.
    None: no scheme."""
    return tuple(record for record in records if _reads(before, record) and not _reads(after, record))


def fault(records: Sequence[Recorded], where: str) -> Fault:
    """What is said of a change that some records, at least one, stand against."""
    more = len(records) - 1
    others = f" and {more} more like it" if more else ""
    return Fault(
        where,
        f"{records[0].text()}{others} could not be read any more",
        "keep it so that this can be read, or correct that first",
    )


def _reads(scheme: SerialScheme | None, record: Recorded) -> bool:
    if scheme is None:
        return False
    span = scheme.span(record.first, record.last)
    return span is not None and span[0] <= span[1]
