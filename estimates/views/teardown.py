"""Teardown on the page of a job, what takes longer on this machine; and what may be hidden, weighed."""

from decimal import Decimal
from typing import Any

from estimates.builder import Built
from estimates.forms.factors import FactorForm
from estimates.hidden import hidden_content
from estimates.views.common import Desk
from shop.rules.currency import format_money

Json = dict[str, Any]


def teardown_section(desk: Desk, built: Built | None, form: FactorForm | None = None) -> Json:
    """Context of the section; no statement of its own. `form` is one that could not be taken."""
    changed = {(one.step, one.place.code): one for one in built.plan.slow} if built else {}
    rows = []
    for factor in built.job.factors if built else ():
        card = desk.book.steps[factor.step]
        at = factor.place.code if factor.place else ""
        touched = [one for (step, place), one in changed.items() if step == factor.step and at in ("", place)]
        rows.append(
            {
                "name": card.name,
                "where": factor.place.label if factor.place and factor.place.scope != "engine" else "",
                "by": f"{factor.by:f}",
                "reason": factor.reason,
                "key": f"{factor.step}@{at}",
                "steps": touched,
            }
        )
    return {
        "factors": rows,
        "factor_form": form or FactorForm(book=desk.book),
        "factor_open": form is not None,
        "to_tear_down": built is not None and any(item.tasks for item in built.plan.group("firm")),
    }


def hidden_told(built: Built) -> Json:
    """For the writer: the expected total in words, None where nothing may be hidden."""
    hidden = hidden_content(built)
    expected = hidden["expected"]
    words = None if expected is None else format_money(Decimal(expected), hidden["currency"])
    return {**hidden, "expected_words": words}
