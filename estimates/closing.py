"""Closing a job: the statement is put together, frozen with its hash and its PDF, and the job stays as it is.

What is billed is the price the customer accepted. A firm price stays firm whatever the work took; an item
"only if found on opening" is billed where it was accepted and turned out so: whoever closes the job says.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from estimates.actions import By, _changing, person
from estimates.agreed import Agreed, agreed_on
from estimates.bench import parts_of, rows_of, times_of
from estimates.builder import Built, build_for
from estimates.closed import refuse_closed
from estimates.documents.closing import Closed, closing_content, deposits_of
from estimates.documents.closing_told import closing_pdf
from estimates.issuing import Frozen, draft_content, freeze
from estimates.later import places_of, settle_done
from estimates.models import ActualPart, ActualTime, Closing, Job, LaterItem, Payment
from estimates.overrun import check_may_go_on
from estimates.rules.judging import worded
from estimates.rules.variance import variance
from shop.events import record
from shop.rules.entry import Faults
from shop.rules.errors import Refused

LONGEST_NOTE = 1000


def statement(
    job: Job,
    built: Built,
    on: date,
    *,
    agreed: Agreed | None,
    times: Sequence[ActualTime],
    parts: Sequence[ActualPart],
    said: dict[str, Any] | None = None,
    arisen: Collection[str] = (),
    returned: Mapping[str, int] | None = None,
    note: str = "",
) -> dict[str, Any]:
    """What the closing statement would say. Two statements (payments, and what was left for later).

    `said` is the content of the draft where it was made already. `arisen`: keys of accepted items "only if
    found" that were done. Before a decision nothing is billed.
    """
    said = said or draft_content(built, timezone.localtime())
    found = frozenset(arisen)
    rows = rows_of(agreed, built.book, times)
    counted = [
        row for row in rows if agreed is None or row.item not in agreed.if_found - found or row.teardown
    ]
    counted = _used_teardown(counted)
    taken = {time.work: time.minutes for time in times}
    rate = agreed.rate if agreed else built.terms.labour_rate
    currency = agreed.currency if agreed else built.terms.currency
    decided = agreed is not None and agreed.decided
    later = LaterItem.objects.filter(from_job=job, settled="").select_related("component", "position")
    return closing_content(
        Closed(
            said=said,
            closed_on=on,
            agreed=agreed,
            choice=agreed.choice(found) if agreed is not None and decided else None,
            arisen=found,
            told=variance(counted, taken, rate, currency),
            used=parts,
            left=list(later),
            payments=list(Payment.objects.filter(job=job)),
            returned=returned or {},
            note=note,
        )
    )


def _used_teardown(rows: Sequence[Any]) -> list[Any]:
    """Without teardown that nothing among these rows needs."""
    needs = {row.key: row.needs for row in rows}
    wanted: set[str] = set()
    waiting = [key for row in rows if not row.teardown for key in row.needs]
    while waiting:
        key = waiting.pop()
        if key not in wanted:
            wanted.add(key)
            waiting += needs.get(key, ())
    return [row for row in rows if not row.teardown or row.key in wanted]


def check_closable(
    job: Job,
    built: Built,
    on: date,
    *,
    agreed: Agreed | None,
    arisen: Collection[str] = (),
    returned: Mapping[str, int] | None = None,
    note: str = "",
) -> None:
    """Refused, with every reason, where the job cannot be closed as it stands."""
    faults = Faults()
    if agreed is not None and agreed.waits_on(on):
        what = f"revision {agreed.newest} of the estimate is not decided on"
        faults.add("decision", what, "record what the customer decided; a refusal is a decision too")
    elif agreed is not None and agreed.decided and agreed.accepted:
        try:
            check_may_go_on(job, built, on)
        except Refused as refusal:
            faults.extend(refusal.faults)
    if not note.strip():
        for one in bad_after(built):
            faults.add(
                f"{one}, after the repair", "is bad", "repair it, or write a note that says why it stays"
            )
    if len(note) > LONGEST_NOTE:
        faults.add("note", f"has {len(note)} characters", f"use at most {LONGEST_NOTE}")
    if_found = agreed.if_found if agreed else frozenset()
    for key in arisen:
        if key not in if_found:
            faults.near("done only if found", "accepted item of that kind", key, if_found)
    deposits = {one["key"]: one for one in deposits_of(agreed, arisen, {})}
    for key, pieces in (returned or {}).items():
        if key not in deposits:
            faults.near("old parts returned", "deposit on this job", key, deposits)
        elif not 0 <= pieces <= deposits[key]["pieces"]:
            most = deposits[key]["pieces"]
            faults.add(deposits[key]["text"], f"{pieces} came back", f"say 0 to {most}")
    faults.refuse()


def bad_after(built: Built) -> list[str]:
    """Readings after the repair that are bad, in words."""
    return [
        worded(built.book.test_points[one.reading.test_point].name, one.reading.place)
        for one in built.assessment.readings
        if one.reading.phase == "after" and one.judgement.outcome == "bad"
    ]


def close(
    job: Job,
    *,
    by: By,
    at: datetime,
    arisen: Collection[str] = (),
    returned: Mapping[str, int] | None = None,
    note: str = "",
    version: int | None = None,
) -> Closing:
    """Freeze the closing statement. Refused where the job is closed or cannot be closed; PdfUnavailable where
    this machine makes no PDF. Everything slow happens before the transaction."""
    seen = job.version if version is None else version
    refuse_closed(job)
    today = timezone.localtime(at).date()
    built = build_for(job, today)
    agreed = agreed_on(job)
    note = note.strip()
    check_closable(job, built, today, agreed=agreed, arisen=arisen, returned=returned, note=note)
    frozen = freeze(
        statement(
            job, built, today, agreed=agreed, times=times_of(job), parts=parts_of(job), arisen=arisen,
            returned=returned, note=note,
        )
    )  # fmt: skip
    pdf = closing_pdf(frozen.document, sha256=frozen.sha256, paper=built.workshop.paper)
    with _changing(job, seen):
        row = _store(job, frozen, pdf, agreed, by, at)
        if agreed is not None:
            done = agreed.keys - (agreed.if_found - set(arisen))
            settle_done(job, places_of(agreed.document, done), by=by, at=at)
        record("job-closed", job.number, at=at, by=by, sha256=frozen.sha256, total=frozen.document["total"])
    return row


def _store(job: Job, frozen: Frozen, pdf: bytes, agreed: Agreed | None, by: By, at: datetime) -> Closing:
    return Closing.objects.create(
        job=job,
        estimate=agreed.estimate if agreed else None,
        closed_at=at,
        closed_by_id=person(by),
        total=Decimal(frozen.document["total"]),
        document=frozen.canonical.decode(),
        sha256=frozen.sha256,
        pdf=pdf,
        pdf_sha256=hashlib.sha256(pdf).hexdigest(),
    )


def closing_of(job: Job) -> Closing | None:
    """The job's closing without its PDF. One statement."""
    rows = Closing.objects.filter(job=job).select_related("closed_by").defer("pdf")
    return rows.first()
