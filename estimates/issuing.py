"""Issuing: the draft is frozen into a canonical document with its hash and its PDF, and never changes again.

Reading, building and rendering happen before the transaction; inside it the job's version is checked, so that
what is frozen is what was built.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

import rfc8785
from django.db import transaction

from estimates.actions import By, Changed, person
from estimates.builder import Built, build_for
from estimates.closed import refuse_closed
from estimates.documents.changes import changes_content
from estimates.documents.content import content
from estimates.documents.pdf import render_pdf
from estimates.models import IssuedEstimate, IssuedFile, IssuedLine, Job
from estimates.rules.lines import Line
from estimates.rules.origins import origins_of_items
from estimates.rules.pricing import PricedItem
from estimates.rules.sheet_kept import sheet_content
from estimates.sourcing import cost_basis
from shop.events import record
from shop.rules.errors import Fault, Refused


@dataclass(frozen=True)
class Frozen:
    """A document in its final form: canonical JSON (RFC 8785) and its SHA-256."""

    document: dict[str, Any]
    canonical: bytes
    sha256: str


def freeze(document: dict[str, Any]) -> Frozen:
    canonical = rfc8785.dumps(document)
    return Frozen(document, canonical, hashlib.sha256(canonical).hexdigest())


def estimate_number(job_number: str) -> str:
    return f"E-{job_number}"


def draft_content(
    built: Built, at: datetime, revision: int = 1, before: dict[str, Any] | None = None
) -> dict[str, Any]:
    """What the estimate would say if it were issued now. `before` is the document that it would replace.

    The price sheet goes along, so that any choice of the customer can be priced from the document alone.
    """
    number = estimate_number(built.job.number)
    document = content(built, number=number, revision=revision, issued_on=at.date())
    document["sheet"] = sheet_content(built.priced.sheet)
    document["origins"] = origins_of_items(built.book, built.plan.items, built.assessment.findings)
    document["changes"] = None if before is None else changes_content(before, document)
    return document


def last_document(job: Job) -> dict[str, Any] | None:
    """The document of the estimate issued last for the job. One statement."""
    rows = IssuedEstimate.objects.filter(job=job).order_by("-revision").values_list("document", flat=True)
    text = rows.first()
    document: dict[str, Any] | None = None if text is None else json.loads(text)
    return document


def check_issuable(built: Built) -> None:
    """Refused where something in the estimate has no price, or there is nothing in it to decide."""
    faults = [
        Fault("estimate", problem, "add a part, an offer or a list price")
        for problem in built.priced.problems
    ]
    if not built.priced.items:
        faults.append(Fault("estimate", "has no lines", "enter readings or a finding first"))
    priced = built.priced
    if not priced.firm.with_tax <= priced.ceiling.with_tax <= priced.options.with_tax:
        # More work takes more of the shared labour off, and the largest discount off with it.
        what = "let more work cost less than the firm work alone"
        faults.append(Fault("discounts", what, "give smaller ones on items, or one on the whole document"))
    if faults:
        raise Refused(faults)


def issue(job: Job, *, by: By, at: datetime, version: int | None = None) -> IssuedEstimate:
    """Freeze the job's draft as the next revision of its estimate. Refused where it cannot be issued."""
    seen = job.version if version is None else version
    refuse_closed(job)
    last = _last(job)
    built = build_for(job, at.date())
    check_issuable(built)
    before = json.loads(last.document) if last else None
    frozen = freeze(draft_content(built, at, last.revision + 1 if last else 1, before))
    pdf = render_pdf(frozen.document, sha256=frozen.sha256, paper=built.workshop.paper)
    with transaction.atomic():
        current = Job.objects.select_for_update().get(pk=job.pk)
        if current.version != seen:
            raise Changed.single(
                f"job {job.number}",
                f"was changed meanwhile (version {current.version}, not {seen})",
                "look again",
            )
        if _last(job) != last:
            raise Changed.single(f"job {job.number}", "was issued meanwhile", "look again")
        row = _store(job, built, frozen, last, by, at)
        _store_file(row, "pdf", "application/pdf", pdf)
        _store_file(row, "json", "application/json", frozen.canonical)
        record("estimate-issued", f"{row.number}/{row.revision}", at=at, by=by, sha256=frozen.sha256)
    return row


def _last(job: Job) -> IssuedEstimate | None:
    return IssuedEstimate.objects.filter(job=job).order_by("-revision").first()


def _store(
    job: Job, built: Built, frozen: Frozen, last: IssuedEstimate | None, by: By, at: datetime
) -> IssuedEstimate:
    priced = built.priced
    row = IssuedEstimate.objects.create(
        job=job,
        number=frozen.document["number"],
        revision=frozen.document["revision"],
        replaces=last,
        issued_at=at,
        issued_by_id=person(by),
        valid_until=built.valid_until,
        currency=built.terms.currency,
        firm_total=priced.firm.with_tax,
        ceiling_total=priced.ceiling.with_tax,
        options_total=priced.options.with_tax,
        document=frozen.canonical.decode(),
        sha256=frozen.sha256,
        cost_basis=cost_basis(built),
    )
    lines = [(item, line) for item in priced.items for line in item.lines]
    IssuedLine.objects.bulk_create(_line(row, n, item, line) for n, (item, line) in enumerate(lines, 1))
    return row


def _line(row: IssuedEstimate, ordinal: int, priced: PricedItem, line: Line) -> IssuedLine:
    piece = line.piece
    offer = piece.offer if piece else None
    return IssuedLine(
        estimate=row,
        ordinal=ordinal,
        item=priced.item.key,
        group=priced.item.group,
        kind=line.kind,
        description=line.text,
        part_brand=piece.part.brand if piece else "",
        part_number=piece.part.number if piece else "",
        supplier=offer.supplier if offer else "",
        minutes=line.minutes,
        quantity=Decimal(line.quantity),
        unit_cost=_cost(priced, line),
        unit_price=line.unit_price,
        net=line.net,
    )


def _cost(priced: PricedItem, line: Line) -> Decimal | None:
    """What the shop pays for one, where it is known."""
    if line.kind == "by-hand" and priced.item.hand is not None:
        return priced.item.hand.unit_cost
    return line.piece.cost if line.piece is not None and line.kind != "deposit" else None


def _store_file(row: IssuedEstimate, kind: str, media_type: str, content: bytes) -> None:
    IssuedFile.objects.create(
        estimate=row,
        media_type=media_type,
        name=f"{row.number}-{row.revision}.{kind}",
        content=content,
        sha256=hashlib.sha256(content).hexdigest(),
    )
