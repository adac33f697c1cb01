"""Whether a price is stale: it is too long since the supplier stated it.

A supplier states a price on the first day it holds, and once more with every complete price file that
leaves it as it is: such a file repeats all there is to sell. A price is stale when more days have passed
than the workshop allows this supplier, so not yet on the last of them.

>>> since = date(2026, 1, 1)
>>> stale_days(stated_on(since, None), 180, date(2026, 6, 30))
>>> stale_days(stated_on(since, None), 180, date(2026, 7, 1))
181
>>> stale_days(stated_on(since, date(2026, 3, 1)), 180, date(2026, 7, 1))
"""

from __future__ import annotations

from datetime import date


def stated_on(valid_from: date, confirmed_on: date | None) -> date:
    """When the supplier last stated a price that holds from `valid_from`; `confirmed_on` is the first day
    of the supplier's last complete price file, None without one."""
    return valid_from if confirmed_on is None else max(valid_from, confirmed_on)


def stale_days(stated: date, stale_after_days: int, day: date) -> int | None:
    """How many days ago on `day` the price was stated, where it is stale; else None."""
    age = (day - stated).days
    return age if age > stale_after_days else None
