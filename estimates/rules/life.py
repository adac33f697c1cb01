"""How an estimate stands, in words: issued, accepted, partly accepted, declined, expired, replaced.

Nothing of this is stored: it follows from the document's last day, from whether a later revision took its
place, and from the latest decision on it. Accepted means that all the firm work was agreed to, whatever was
said of the rest; where there is no firm work, that something was. A decision stands even when the document's
last day is over; a replaced document has had its day in any case.

>>> from datetime import date
>>> standing(date(2026, 4, 1), date(2026, 4, 1)).state, standing(date(2026, 4, 1), date(2026, 4, 2)).state
('issued', 'expired')
>>> standing(date(2026, 4, 1), date(2026, 4, 2), decided=Decided(agreed=3, firm_left_out=1)).state
'partly accepted'
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from catalog.rules.interval import day_text

State = Literal["issued", "accepted", "partly accepted", "declined", "expired", "replaced"]
WORDS: dict[State, str] = {
    "issued": "given to the customer, and still standing",
    "accepted": "the customer agreed to all the firm work",
    "partly accepted": "the customer agreed to some of it",
    "declined": "the customer agreed to nothing",
    "expired": "its last day is over, and nothing was decided",
    "replaced": "a later revision took its place",
}


@dataclass(frozen=True, slots=True)
class Decided:
    """The latest decision: how many items were agreed to, and how many firm ones were not."""

    agreed: int
    firm_left_out: int

    @property
    def state(self) -> State:
        if not self.agreed:
            return "declined"
        return "partly accepted" if self.firm_left_out else "accepted"


@dataclass(frozen=True, slots=True)
class Standing:
    """The state, the sentence that says why, and whether it can still be decided on."""

    state: State
    reason: str
    open: bool


def standing(
    valid_until: date, today: date, *, replaced_by: int | None = None, decided: Decided | None = None
) -> Standing:
    """How an estimate stands on this day. The last day itself still counts."""
    day = day_text(valid_until)
    if replaced_by is not None:
        return Standing("replaced", f"replaced by revision {replaced_by}", False)
    in_time = today <= valid_until
    if decided is not None:
        return Standing(decided.state, decided.state, in_time)
    if in_time:
        return Standing("issued", f"valid until {day}", True)
    return Standing("expired", f"expired on {day}", False)


def why_closed(
    number: str, revision: int, valid_until: date, today: date, replaced_by: int | None
) -> tuple[str, str] | None:
    """What is wrong with deciding on it now, and what would be right; None where it can be decided on."""
    what = f"{number} revision {revision}"
    if replaced_by is not None:
        return f"{what} was replaced by revision {replaced_by}", f"decide on revision {replaced_by}"
    if today > valid_until:
        return f"{what} expired on {day_text(valid_until)}", "ask the workshop to issue it again"
    return None
