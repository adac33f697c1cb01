"""Where the parts are bought, on the page of a job: three plans, the followed one line by line."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from catalog.rules.interval import day_text
from estimates.builder import Built
from estimates.forms.sourcing import SourcingForm
from estimates.sourcing import sourcing_content
from estimates.views.common import Desk
from shop.rules.currency import format_money

Json = dict[str, Any]


def sourcing_section(desk: Desk, built: Built | None, form: forms.Form | None = None) -> Json:
    """Context of the section; no statement of its own."""
    if built is None:
        return {"sourcing": None}
    content = sourcing_content(built)
    currency = content["currency"]
    return {
        "sourcing": {
            **content,
            "plans": [_plan(plan, currency) for plan in content["plans"]],
            "lines": [_line(line, currency) for line in content["lines"]],
        },
        "sourcing_form": form or SourcingForm(job=desk.job, workshop=built.workshop),
        "sourcing_open": form is not None,
    }


def _plan(plan: Json, currency: str) -> Json:
    if not plan["possible"]:
        return plan
    suppliers = [one["name"] for one in plan["suppliers"]]
    return {
        **plan,
        **{name: _shown(plan[name], currency) for name in ("goods", "deposits", "freight", "total")},
        "complete_on": _day(plan["complete_on"]),
        "from": ", ".join(suppliers) or "nothing to order",
        "orders": len(suppliers),
    }


def _line(line: Json, currency: str) -> Json:
    return {
        **line,
        "taken": [
            {
                **one,
                "price": _shown(one["price"], currency),
                "deposit": _shown(one["deposit"], currency) if Decimal(one["deposit"]) else "",
                "arrives_on": _day(one["arrives_on"]) if one["arrives_on"] else "",
            }
            for one in line["taken"]
        ],
        "passed_over": [{**one, "price": _shown(one["price"], currency)} for one in line["passed_over"]],
    }


def _shown(amount: str, currency: str) -> str:
    """A price with all its places, a sum as it would be paid."""
    return format_money(Decimal(amount), currency)


def _day(text: str) -> str:
    return day_text(date.fromisoformat(text))
