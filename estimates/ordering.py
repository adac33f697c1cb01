"""Orders and what came of them, written down. What came is written down once and stays: wrong pieces with
what is wrong with them, and then they stay missing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import F
from django.utils import timezone

from catalog.models import Part, Stock, Supplier
from estimates.actions import By, _changing, next_number, person
from estimates.agreed import Agreed
from estimates.builder import Built
from estimates.closed import refuse_closed
from estimates.models import Job, Purchase, PurchaseLine, Receipt
from estimates.overrun import check_may_go_on
from estimates.purchases import awaited
from estimates.rules.buying import check_receipt
from shop.events import record
from shop.rules.entry import Faults
from shop.rules.errors import Refused


@dataclass(frozen=True)
class OrderLine:
    """Pieces of a part as they are ordered; costs per piece, without tax."""

    part: Part
    quantity: int
    unit_cost: Decimal
    deposit: Decimal = Decimal(0)
    supplier_number: str = ""
    expected_on: date | None = None


def order(
    job: Job,
    supplier: Supplier | None,
    lines: Sequence[OrderLine],
    *,
    by: By,
    at: datetime,
    freight: Decimal = Decimal(0),
    estimate: Agreed | None = None,
    built: Built | None = None,
    version: int | None = None,
) -> Purchase:
    """Write an order down. Without a supplier the parts are taken from the shelf, and are there at once.

    Refused for a closed job, a blocked supplier, no lines, a part twice, more than lies on the shelf, and
    where the work goes beyond what the customer authorised. `built` is the draft where it was built already.
    """
    faults = Faults()
    if not lines:
        faults.add("order", "has no parts in it", "say how many pieces of at least one part are ordered")
    if supplier is not None and supplier.blocked:
        faults.add("supplier", f"{supplier.name} is blocked", "order elsewhere, or lift the block")
    seen: set[int] = set()
    for line in lines:
        if line.part.pk in seen:
            faults.add(f"order, {line.part}", "is in it twice", "write its pieces together")
        seen.add(line.part.pk)
    faults.refuse()
    refuse_closed(job)
    check_may_go_on(job, built, timezone.localtime(at).date())
    with _changing(job, version):
        row = Purchase.objects.create(
            job=job,
            number=next_number(Purchase, "P"),
            supplier=supplier,
            estimate=estimate.estimate if estimate else None,
            ordered_at=at,
            ordered_by_id=person(by),
            freight=freight,
        )
        made = PurchaseLine.objects.bulk_create(
            PurchaseLine(
                purchase=row,
                part=line.part,
                supplier_number=line.supplier_number,
                quantity=line.quantity,
                unit_cost=line.unit_cost,
                deposit=line.deposit,
                expected_on=line.expected_on,
            )
            for line in lines
        )
        if supplier is None:
            _take_from_shelf(made, by, at)
        record(
            "parts-ordered",
            job.number,
            at=at,
            by=by,
            order=row.number,
            supplier=supplier.code if supplier else "",
            parts=[f"{line.quantity} x {line.part}" for line in lines],
        )
    return row


def _take_from_shelf(lines: Sequence[PurchaseLine], by: By, at: datetime) -> None:
    faults = Faults()
    for line in lines:
        rows = Stock.objects.filter(part=line.part, quantity__gte=line.quantity)
        if not rows.update(quantity=F("quantity") - line.quantity):
            there = Stock.objects.filter(part=line.part).values_list("quantity", flat=True).first() or 0
            faults.add(
                f"order, {line.part}",
                f"{line.quantity} are wanted, and {there} lie on the shelf",
                "take fewer, or order them",
            )
    faults.refuse()
    Receipt.objects.bulk_create(
        Receipt(line=line, quantity=line.quantity, received_at=at, received_by_id=person(by))
        for line in lines
    )


@dataclass(frozen=True)
class Came:
    """Pieces of a line that came; `wrong` says what is wrong with them, "" where nothing is."""

    line: int
    quantity: int
    wrong: str = ""


def receive(
    job: Job, came: Sequence[Came], *, by: By, at: datetime, version: int | None = None
) -> list[Receipt]:
    """Write down what came, of one order or of several. Refused as a whole where one line has too many."""
    if not came:
        raise Refused.single("what came", "is empty", "say how many pieces of at least one part came")
    with _changing(job, version):
        lines = {
            line.pk: line
            for line in PurchaseLine.objects.filter(purchase__job=job)
            .select_related("part__brand", "purchase")
            .prefetch_related("receipts")
        }
        faults = Faults()
        for one in came:
            if one.line not in lines:
                faults.add("what came", f"no line {one.line} on the orders of this job", "look again")
                continue
            try:
                check_receipt(awaited(lines[one.line]), one.quantity, str(lines[one.line].part))
            except Refused as refusal:
                faults.extend(refusal.faults)
        if len({one.line for one in came}) < len(came):
            faults.add("what came", "names a line twice", "write its pieces together")
        faults.refuse()
        made = Receipt.objects.bulk_create(
            Receipt(
                line=lines[one.line],
                quantity=one.quantity,
                received_at=at,
                received_by_id=person(by),
                note=one.wrong,
            )
            for one in came
        )
        record(
            "parts-received",
            job.number,
            at=at,
            by=by,
            parts=[
                f"{one.quantity} x {lines[one.line].part}{f' (wrong: {one.wrong})' if one.wrong else ''}"
                for one in came
            ],
        )
    return list(made)
