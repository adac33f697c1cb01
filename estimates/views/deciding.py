"""The customer's decision on the page of a job: how it stands, the links, the desk's form, the overrun."""

import json
from typing import Any

import segno

from estimates.builder import Built
from estimates.decisions import latest_decision
from estimates.documents.receipt import receipt_told
from estimates.models import CustomerLink, IssuedEstimate
from estimates.overrun import GoOn, may_go_on
from estimates.rules.choosing import Offered
from estimates.rules.life import standing
from estimates.views.asked import asked_groups
from estimates.views.common import Desk
from shop.rules.currency import format_money

Json = dict[str, Any]
OVERRUN_ROWS = (
    "What was authorised for this work",
    "Allowed on top",
    "The work may come to",
    "It now comes to",
)


def decision_section(
    desk: Desk, built: Built | None, revisions: list[Json], *, typed: Json | None = None, new_link: str = ""
) -> Json:
    """Context of the decision. `revisions` as the estimate's section read them; `typed` is a refused form."""
    if not revisions:
        return {"asked": None}
    row: IssuedEstimate = revisions[0]["row"]
    today = desk.now.date()
    offer = Offered(json.loads(row.document))
    decision = latest_decision(desk.job)
    on_this = decision is not None and decision.estimate_id == row.pk
    told = None
    if decision is not None:
        of = offer if on_this else Offered(json.loads(decision.estimate.document))
        told = receipt_told(decision, of)
    agreed = [i["key"] for i in told["items"] if i["accepted"]] if told and on_this else offer.keys("firm")
    accepted = agreed if typed is None else typed["accepted"]
    links = CustomerLink.objects.filter(estimate=row).select_related("made_by").order_by("-made_at", "-pk")
    return {
        "asked": row,
        "open": standing(row.valid_until, today).open,
        "decision": told,
        "decision_row": decision,
        "on_this": on_this,
        "groups_asked": asked_groups(offer, accepted),
        "typed": typed or {},
        "links": list(links),
        "new_link": new_link,
        "new_link_picture": _picture(new_link),
        "go_on": _told(may_go_on(desk.job, built, today)) if built is not None else None,
    }


def _picture(address: str) -> str:
    """A QR code of the address, to be scanned from the screen. Shapes with attributes only."""
    if not address:
        return ""
    return str(segno.make(address, micro=False).svg_inline(scale=4, title="The private link as a QR code"))


def _told(answer: GoOn) -> Json:
    held = answer.comparison
    rows: list[tuple[str, str]] = []
    if held is not None:
        limit = held.limit
        figures = (limit.authorised, limit.tolerance, limit.most, held.total)
        rows = [
            (words, format_money(figure, answer.currency))
            for words, figure in zip(OVERRUN_ROWS, figures, strict=True)
        ]
    return {"ok": answer.ok, "reason": answer.reason, "rows": rows, "before_tax": answer.before_tax}
