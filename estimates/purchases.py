"""Buying for a job: what the agreed estimate needs from whom, what was ordered, what came, what is missing.

The list is worked out whenever it is asked for; only orders and what came of them are kept. What comes is
written down once and stays: pieces that are wrong are written down with what is wrong, and stay missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import reduce
from operator import or_

from django.db.models import F, Prefetch, Q
from django.utils import timezone

from catalog.cards import OfferCard
from catalog.models import Part, Stock, Supplier
from catalog.queries import offers_on
from estimates.actions import By, _changing, next_number, person
from estimates.agreed import Agreed
from estimates.builder import Built
from estimates.closed import refuse_closed
from estimates.models import IssuedLine, Job, Purchase, PurchaseLine, Receipt
from estimates.overrun import check_may_go_on
from estimates.rules.buying import Awaited, SupplierList, Wanted, check_receipt, lists
from shop.events import record
from shop.rules.entry import Faults
from shop.rules.errors import Refused

NOBODY = "no supplier known"


@dataclass(frozen=True)
class Detail:
    """What an order of a part from a supplier takes: its number there, when it can be here, whole packs."""

    part: Part | None
    offer: OfferCard | None

    @property
    def supplier_number(self) -> str:
        return self.offer.supplier_number if self.offer else ""

    def expected_on(self, today: date) -> date | None:
        return today + timedelta(days=self.offer.lead_days) if self.offer else None

    def orderable(self, pieces: int) -> int:
        return self.offer.orderable(pieces) if self.offer and pieces else pieces


@dataclass(frozen=True)
class PurchaseList:
    """`details` by (supplier code, "brand/number")."""

    lists: tuple[SupplierList, ...]
    details: Mapping[tuple[str | None, str], Detail]
    suppliers: Mapping[str, Supplier]


def purchase_list(agreed: Agreed, orders: Sequence[Purchase], today: date) -> PurchaseList:
    """What the agreed items need, by supplier, less what `orders` hold. Four statements."""
    lines = [
        line
        for line in IssuedLine.objects.filter(estimate=agreed.estimate).order_by("ordinal")
        if line.part_number and line.kind != "deposit" and line.item in agreed.keys
    ]
    named = {(line.part_brand, line.part_number) for line in lines}
    which = [Q(brand__code=brand, number=number) for brand, number in named]
    rows = Part.objects.select_related("brand", "part_type").filter(reduce(or_, which)) if which else []
    parts = {f"{part.brand.code}/{part.number}": part for part in rows}
    suppliers = {
        one.code: one for one in Supplier.objects.filter(code__in={line.supplier for line in lines} - {""})
    }
    standing = offers_on([part.pk for part in parts.values()], today)
    offers = {
        (offer.supplier, key): offer for key, part in parts.items() for offer in standing.get(part.pk, ())
    }
    titles = {item["key"]: item["title"] for _, item in agreed.items()}
    wanted = [
        _wanted(line, parts.get(f"{line.part_brand}/{line.part_number}"), suppliers, offers, titles, agreed)
        for line in lines
    ]
    found = lists(wanted, _ordered(orders))
    details = {
        (one.supplier, line.part): Detail(
            parts.get(line.part), offers.get((one.supplier, line.part)) if one.supplier else None
        )
        for one in found
        for line in one.lines
    }
    return PurchaseList(found, details, suppliers)


def _wanted(
    line: IssuedLine,
    part: Part | None,
    suppliers: Mapping[str, Supplier],
    offers: Mapping[tuple[str, str], OfferCard],
    titles: Mapping[str, str],
    agreed: Agreed,
) -> Wanted:
    key = f"{line.part_brand}/{line.part_number}"
    supplier, name = _from_whom(line, suppliers)
    offer = offers.get((line.supplier, key))
    return Wanted(
        supplier,
        name,
        key,
        f"{part.brand.name} {part.number}" if part else f"{line.part_brand} {line.part_number}",
        part.part_type.name if part else line.description,
        int(line.quantity),
        line.unit_cost,
        offer.deposit if offer else Decimal(0),
        titles.get(line.item, ""),
        line.item not in agreed.if_found,
    )


def _from_whom(line: IssuedLine, suppliers: Mapping[str, Supplier]) -> tuple[str | None, str]:
    if line.supplier in suppliers:
        return line.supplier, suppliers[line.supplier].name
    return None, NOBODY


def _ordered(orders: Iterable[Purchase]) -> dict[str, int]:
    """Pieces by "brand/number" that orders hold."""
    found: dict[str, int] = {}
    for order in orders:
        for line in order.lines.all():
            key = f"{line.part.brand.code}/{line.part.number}"
            found[key] = found.get(key, 0) + line.quantity
    return found


def orders_of(job: Job) -> list[Purchase]:
    """The job's orders with their lines and what came. Three statements."""
    receipts = Receipt.objects.select_related("received_by")
    lines = PurchaseLine.objects.select_related("part__brand", "part__part_type").prefetch_related(
        Prefetch("receipts", receipts)
    )
    rows = Purchase.objects.filter(job=job).select_related("supplier", "estimate", "ordered_by")
    return list(rows.prefetch_related(Prefetch("lines", lines)).order_by("ordered_at", "pk"))


def awaited(line: PurchaseLine) -> Awaited:
    """What came of a line without fault, and what is missing; its receipts are prefetched."""
    usable = sum(receipt.quantity for receipt in line.receipts.all() if not receipt.note)
    return Awaited(line.quantity, usable, line.expected_on)


# Writes


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
