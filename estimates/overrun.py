"""Whether the work may go on: what the draft now comes to beside what the customer authorised.

Beyond the authorised total and the shop's tolerance nothing more is bought and the job is not closed until
the customer has decided again.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import cast

from django.utils import timezone

from estimates.builder import Built, build_for
from estimates.decisions import accepted_items, latest_decision, offered
from estimates.models import Decision, Job
from estimates.rules.authorised import hold
from estimates.rules.overrun import Allowance, Comparison, Kind, compare
from shop.models import Workshop
from shop.rules.currency import format_money
from shop.rules.errors import Refused


@dataclass(frozen=True)
class GoOn:
    """`ok` says whether buying and closing may go on, `reason` why, in a sentence. `comparison` is None where
    nothing was authorised; its totals are without tax where `before_tax`."""

    ok: bool
    reason: str
    decision: Decision | None = None
    comparison: Comparison | None = None
    before_tax: bool = False
    currency: str = ""


def allowance_of(workshop: Workshop) -> Allowance:
    """The shop's overrun rule."""
    return Allowance(
        kind=cast(Kind, workshop.overrun_rule),
        amount=workshop.overrun_amount,
        percent=workshop.overrun_percent,
        cap=workshop.overrun_cap,
        before_tax=workshop.overrun_before_tax,
    )


def may_go_on(job: Job, built: Built | None = None, today: date | None = None) -> GoOn:
    """Whether buying and closing may go on. Hand in `built` where the draft was built already."""
    decision = latest_decision(job)
    if decision is None:
        return GoOn(False, "nothing is authorised yet: the customer has not decided on an issued estimate")
    estimate = decision.estimate
    what = f"{estimate.number} revision {estimate.revision}"
    accepted = accepted_items(decision)
    if not accepted:
        return GoOn(False, f"the customer declined {what}: nothing is authorised", decision)
    built = built or build_for(job, today or timezone.localdate())
    currency = built.terms.currency
    if currency != estimate.currency:
        reason = f"{what} was decided on in {estimate.currency}, the draft is in {currency}: issue a revision"
        return GoOn(False, reason, decision)
    rule = allowance_of(built.workshop)
    now, authorised, same_work = _totals(decision, accepted, built, before_tax=rule.before_tax)
    held = compare(now, authorised, rule, currency)
    said = _said(held, rule, currency)
    if same_work and not held.within:
        today_total = format_money(now, currency)
        said = f"it is the work agreed to, at the prices agreed to; today it would come to {today_total}"
    return GoOn(held.within or same_work, said, decision, held, rule.before_tax, currency)


def check_may_go_on(job: Job, built: Built | None = None, today: date | None = None) -> GoOn:
    """The same; Refused where the work may not go on."""
    answer = may_go_on(job, built, today)
    if not answer.ok:
        raise Refused.single(
            "authorised total", answer.reason, "issue a revision and let the customer decide on it"
        )
    return answer


def _totals(
    decision: Decision, accepted: frozenset[str], built: Built, *, before_tax: bool
) -> tuple[Decimal, Decimal, bool]:
    """What the work comes to now, what of it was authorised, and whether it is the work agreed to."""
    offer = offered(decision.estimate)
    if offer.sheet is None:
        firm = built.priced.firm
        if before_tax:
            return firm.without_tax, decision.authorised_without_tax, False
        return firm.with_tax, decision.authorised_total, False
    held = hold(offer.sheet, offer.done, accepted, built.priced.sheet)
    if before_tax:
        return held.work.totals.without_tax, held.authorised.totals.without_tax, held.same_work
    return held.work.with_tax, held.authorised.with_tax, held.same_work


def _said(held: Comparison, rule: Allowance, currency: str) -> str:
    tax = "without tax" if rule.before_tax else "with tax"
    now, agreed, most = (
        format_money(amount, currency) for amount in (held.total, held.limit.authorised, held.limit.most)
    )
    if held.within:
        return f"the work now comes to {now} {tax}; up to {most} is authorised"
    over = format_money(held.over, currency)
    beyond = (
        f"{agreed} authorised" if not held.limit.tolerance else f"{agreed} authorised and {held.limit.how}"
    )
    return f"the work now comes to {now} {tax}, {over} above the {beyond}: the customer has to decide again"
