"""What was left for later, on the page of a job: waiting on the machine's record, and offered again."""

from typing import Any

from catalog.rules.interval import day_text
from estimates.builder import Built
from estimates.later import Offer, waiting
from estimates.views.common import Desk
from shop.rules.currency import format_money

Json = dict[str, Any]
WHY = {"declined": "declined", "advisory": "advised, and left"}


def later_section(desk: Desk, built: Built | None) -> Json:
    """Context of what waits on the job's unit. One statement where nothing does."""
    currency = built.terms.currency if built is not None else ""
    return {"later": [_told(one, desk, currency) for one in waiting(desk.job, built, desk.now.date())]}


def _told(offer: Offer, desk: Desk, currency: str) -> Json:
    row = offer.row

    def money(amount: Any) -> str:
        return "" if amount is None else format_money(amount, currency)

    where = "" if row.position.scope == "engine" else f", {row.position.scope} {row.position.code}"
    return {
        "row": row,
        "name": f"{row.component.name}{where}",
        "why": WHY[row.why],
        "here": row.from_job_id == desk.job.pk,
        "noted": day_text(row.noted_at.date()),
        "found_again": offer.found_again,
        "now": money(offer.now),
        "later": money(offer.later),
        "saving": money(offer.saving) if offer.saving else "",
        "steps": offer.steps,
        "reached": offer.reached,
    }
