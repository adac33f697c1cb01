"""The worksheet of a job: the work that was agreed to, or while nothing is, the firm work of the draft."""

from datetime import date

from django.utils import timezone

from catalog.rules.interval import day_text
from catalog.working_notes import working_notes
from estimates.agreed import Agreed, agreed_on
from estimates.builder import Built
from estimates.documents.worksheet import Json, Ordered, worksheet
from estimates.models import Job


def worksheet_of(job: Job, built: Built, on: date) -> Json:
    """The worksheet, drawn up on the day `on`. Six statements."""
    notes = working_notes(built.book.family.code)
    return worksheet(built, notes, _ordered(agreed_on(job), built), on=on)


def _ordered(agreed: Agreed | None, built: Built) -> Ordered:
    if agreed is None or agreed.decision is None:
        firm = frozenset(item.key for item in built.plan.group("firm"))
        return Ordered(firm, said="Nothing is agreed to yet: this is the firm work of the draft.")
    estimate, decision = agreed.estimate, agreed.decision
    decided_on = timezone.localtime(decision.decided_at).date()
    said = (
        f"As agreed to by {decision.name} on {day_text(decided_on)}, "
        f"estimate {estimate.number} revision {estimate.revision}."
    )
    if agreed.newer_undecided:
        said += f" Revision {agreed.newest} is issued and not decided on: ask before you begin."
    return Ordered(agreed.accepted - agreed.if_found, agreed.if_found, said)
