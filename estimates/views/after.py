"""What the page of a job knows after the decision: read once for buying, work and closing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from estimates.agreed import Agreed, agreed_on
from estimates.bench import parts_of, rows_of, times_of
from estimates.closing import closing_of
from estimates.models import ActualPart, ActualTime, Closing, Purchase
from estimates.purchases import PurchaseList, orders_of, purchase_list
from estimates.rules.bench import BenchRow
from estimates.views.common import Desk

Json = dict[str, Any]
Typed = Mapping[str, str]


@dataclass(frozen=True)
class AfterWork:
    """`agreed` is None while nothing is issued, `wanted` then too; `closing` once the job is closed."""

    agreed: Agreed | None
    closing: Closing | None
    orders: list[Purchase]
    wanted: PurchaseList | None
    rows: tuple[BenchRow, ...]
    times: list[ActualTime]
    parts: list[ActualPart]


def after_work(desk: Desk) -> AfterWork:
    """A constant number of statements."""
    agreed = agreed_on(desk.job)
    orders, times = orders_of(desk.job), times_of(desk.job)
    return AfterWork(
        agreed=agreed,
        closing=closing_of(desk.job),
        orders=orders,
        wanted=purchase_list(agreed, orders, desk.now.date()) if agreed else None,
        rows=rows_of(agreed, desk.book, times),
        times=times,
        parts=parts_of(desk.job),
    )
