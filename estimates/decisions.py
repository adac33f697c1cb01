"""What the customer decided on an issued estimate: recorded once and for all, bound to the document's hash.

A decision is made item by item through the private link or at the desk. Rows are only added; the latest
decision counts. A replaced or expired estimate cannot be decided on.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from estimates.actions import By, person
from estimates.closed import refuse_closed
from estimates.later import leave_for_later
from estimates.models import DecidedItem, Decision, IssuedEstimate, IssuedLine, Job
from estimates.rules.choosing import Offered
from estimates.rules.life import Decided, Standing, standing, why_closed
from shop.events import record
from shop.rules.errors import Fault, Refused

LONGEST_NAME, LONGEST_NOTE = 120, 500


def offered(estimate: IssuedEstimate) -> Offered:
    """The issued document as something to choose from."""
    return Offered(json.loads(estimate.document))


def replaced_by(estimate: IssuedEstimate) -> int | None:
    """The revision that took its place. One statement unless it was selected along."""
    later = getattr(estimate, "replaced_by", None)
    return None if later is None else int(later.revision)


def check_open(estimate: IssuedEstimate, at: datetime) -> None:
    """Refused where the estimate cannot be decided on (any more), saying why."""
    today = timezone.localtime(at).date()
    closed = why_closed(
        estimate.number, estimate.revision, estimate.valid_until, today, replaced_by(estimate)
    )
    if closed is not None:
        raise Refused.single("estimate", *closed)


def decide(
    estimate: IssuedEstimate,
    accepted: Collection[str],
    *,
    name: str,
    way: str,
    at: datetime,
    sha256: str,
    by: By = None,
    note: str = "",
) -> Decision:
    """Record a decision: `accepted` are the keys agreed to, everything else is declined.

    `sha256` is that of the document the person saw. Refused, with every fault: an estimate that is replaced,
    expired or another one, no name, an unknown item, or one that cannot arise.
    """
    name, note = " ".join(name.split()), note.strip()
    faults = []
    if not name:
        faults.append(Fault("name", "is missing", "type the name of whoever decides"))
    if len(name) > LONGEST_NAME:
        faults.append(Fault("name", f"has {len(name)} characters", f"use at most {LONGEST_NAME}"))
    if len(note) > LONGEST_NOTE:
        faults.append(Fault("note", f"has {len(note)} characters", f"use at most {LONGEST_NOTE}"))
    if sha256 != estimate.sha256:
        faults.append(
            Fault("document", "is not the one that was decided on", "look at the estimate again, then decide")
        )
    if faults:
        raise Refused(faults)
    offer = offered(estimate)
    choice = offer.choose(accepted)
    with transaction.atomic():
        # Whoever issues holds the job's row: no revision can slip in between.
        job = Job.objects.select_for_update().get(pk=estimate.job_id)
        refuse_closed(job)
        check_open(IssuedEstimate.objects.select_related("replaced_by").get(pk=estimate.pk), at)
        row = Decision.objects.create(
            estimate=estimate,
            sha256=estimate.sha256,
            decided_at=at,
            name=name,
            way=way,
            recorded_by_id=person(by),
            note=note,
            authorised_total=choice.agreed,
            authorised_without_tax=choice.agreed_without_tax,
            ceiling_total=choice.ceiling,
        )
        taken = set(choice.accepted)
        DecidedItem.objects.bulk_create(
            DecidedItem(decision=row, item=item.key, accepted=item.key in taken) for item in offer.items
        )
        leave_for_later(job, offer, taken, at=at)
        record(
            "estimate-decided",
            f"{estimate.number}/{estimate.revision}",
            at=at,
            by=by,
            sha256=estimate.sha256,
            name=name,
            way=way,
            accepted=list(choice.accepted),
            authorised=str(choice.agreed),
        )
    return row


# How estimates stand


def with_standing(rows: QuerySet[IssuedEstimate]) -> QuerySet[Any]:
    """Rows with `decision` (key of the latest, or null), and its counts `agreed` and `firm_left_out`."""
    latest = Decision.objects.filter(estimate=OuterRef("pk")).order_by("-decided_at", "-pk").values("pk")[:1]
    items = DecidedItem.objects.filter(decision=OuterRef("decision")).order_by().values("decision")
    firm = IssuedLine.objects.filter(
        estimate=OuterRef("decision__estimate"), group="firm", item=OuterRef("item")
    )
    left_out = Q(accepted=False) & Q(item__in=firm.values("item"))
    return rows.annotate(decision=Subquery(latest)).annotate(
        agreed=Coalesce(Subquery(items.annotate(n=Count("pk", filter=Q(accepted=True))).values("n")[:1]), 0),
        firm_left_out=Coalesce(Subquery(items.annotate(n=Count("pk", filter=left_out)).values("n")[:1]), 0),
    )


def standing_of(row: Any, today: date) -> Standing:
    """How a row of `with_standing` stands on this day."""
    return standing(row.valid_until, today, replaced_by=replaced_by(row), decided=decided_on(row))


def decided_on(row: Any) -> Decided | None:
    """The latest decision on a row of `with_standing`, in counts."""
    return None if row.decision is None else Decided(row.agreed, row.firm_left_out)


def latest_decision(job: Job) -> Decision | None:
    """The decision that authorises the work on this job: the last one made, on whichever revision."""
    rows = Decision.objects.filter(estimate__job=job).select_related("estimate", "recorded_by")
    return rows.order_by("-decided_at", "-pk").first()


def accepted_items(decision: Decision) -> frozenset[str]:
    """Keys of what was agreed to. One statement."""
    return frozenset(decision.items.filter(accepted=True).values_list("item", flat=True))


def latest_on(estimate: IssuedEstimate) -> Decision | None:
    """The decision that counts on this one document."""
    rows = Decision.objects.filter(estimate=estimate).select_related("estimate", "recorded_by")
    return rows.order_by("-decided_at", "-pk").first()
