"""What a person sets on the price, on the page of a job: what stands, and the forms to add to it."""

from typing import Any

from estimates.builder import Built
from estimates.documents.amounts import percent_text
from estimates.forms.byhand import (
    CATEGORIES,
    GROUPS,
    WHOLE,
    ByHandForm,
    DiscountForm,
    HandLineForm,
    PaymentForm,
)
from estimates.rules.plan import places_in_words
from estimates.views.common import Desk
from shop.rules.currency import format_money

Json = dict[str, Any]
SECTION = "by-hand"


def by_hand_section(desk: Desk, built: Built | None, typed: ByHandForm | None = None) -> Json:
    """Context of the section; `typed` is the form that could not be taken. No statement."""
    if built is None:
        return {"by_hand": None}
    job, currency = built.job, built.terms.currency
    titles = item_titles(built)
    made: dict[str, ByHandForm] = {
        "line": HandLineForm(currency=currency),
        "discount": DiscountForm(currency=currency, items=titles.items()),
        "payment": PaymentForm(currency=currency, today=desk.now.date()),
    }
    if typed is not None:
        made[typed.entry] = typed
    kinds, groups = dict(CATEGORIES), dict(GROUPS)
    return {
        "by_hand": {
            "forms": made,
            "open": typed.entry if typed is not None else "",
            "lines": [
                {
                    "key": one.key,
                    "text": one.text,
                    "kind": kinds[one.category],
                    "group": groups[one.group],
                    "price": f"{one.quantity:f} × {format_money(one.unit_price, currency)}",
                    "reason": one.reason,
                    "cost": None if one.unit_cost is None else format_money(one.unit_cost, currency),
                }
                for one in job.hand_lines
            ],
            "discounts": [
                {
                    "item": one.item,
                    "of": titles.get(one.item, one.item) if one.item else WHOLE,
                    "off": f"{percent_text(one.percent)} %"
                    if one.percent is not None
                    else format_money(one.amount or 0, currency),
                    "reason": one.reason,
                    "lost": bool(one.item) and one.item not in titles,
                }
                for one in job.discounts
            ],
            "payments": [
                {
                    "amount": format_money(one.amount, currency),
                    "on": one.received_on,
                    "how": one.how,
                    "note": one.note,
                }
                for one in job.payments
            ],
        }
    }


def item_titles(built: Built) -> dict[str, str]:
    """What a discount may be given on, by key."""
    found = {}
    for item in built.plan.items:
        where = places_in_words(item.places)
        found[item.key] = f"{item.title}, {where}" if where else item.title
    return found
