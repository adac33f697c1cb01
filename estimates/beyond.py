"""Whether the work goes beyond what the customer authorised, for buying and for closing.

The overrun rule holds what the draft comes to today beside what was agreed to. A part that got dearer, or a
piece taken from the shelf, moves today's price of the same work; the accepted price stays, so that alone
stops neither buying nor closing. Work that was not agreed to does, where the rule says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from estimates.agreed import Agreed
from estimates.builder import Built, build_for
from estimates.models import Job
from estimates.overrun import may_go_on
from estimates.rules.sheet import SheetItem
from shop.rules.errors import Refused


def refuse_beyond(job: Job, agreed: Agreed | None, today: date, built: Built | None = None) -> None:
    """Refused where nothing is authorised, and where work beyond it is more than the shop's rule allows."""
    built = built or build_for(job, today)
    held = may_go_on(job, built, today)
    if held.ok or (held.comparison is not None and agreed is not None and _same_work(agreed, built)):
        return
    raise Refused.single(
        "authorised total", held.reason, "issue a revision and let the customer decide on it"
    )


def _same_work(agreed: Agreed, built: Built) -> bool:
    """Whether the draft holds no firm work that the document decided on does not name."""
    decided = agreed.offered.sheet
    if decided is None:
        return False
    named = (item for item in decided.items.values() if item.group == "firm" or item.key in agreed.keys)
    now = (item for item in built.priced.sheet.items.values() if item.group == "firm")
    return _works(now) <= _works(named)


def _works(items: Iterable[SheetItem]) -> set[str]:
    return {work for item in items for work in (item.tasks or (item.key,))}
