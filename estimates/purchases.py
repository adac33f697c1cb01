"""Buying for a job: what the agreed estimate needs from whom, what was ordered, what came, what is missing.

The list is worked out whenever it is asked for; only orders and what came of them are kept (see ordering).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Prefetch, Q

from catalog.cards import OfferCard
from catalog.models import Part, Supplier
from catalog.queries import offers_on
from estimates.agreed import Agreed
from estimates.models import IssuedLine, Job, Purchase, PurchaseLine, Receipt
from estimates.rules.buying import Awaited, SupplierList, Wanted, lists

SHELF = "own stock"
NOBODY, TO_CONFIRM = "no supplier known", "to be confirmed before anything is ordered"


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


@dataclass
class _From:
    """Where pieces of a part come from, and how many are left there."""

    supplier: str | None
    name: str
    pieces: int
    price: Decimal | None


@dataclass(frozen=True)
class PurchaseList:
    """`details` by (supplier code, "brand/number"); `pieces` are what an item (key) takes of a part."""

    lists: tuple[SupplierList, ...]
    details: Mapping[tuple[str | None, str], Detail]
    suppliers: Mapping[str, Supplier]
    pieces: Mapping[tuple[str, int], tuple[Part, int]]


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
    suppliers = {one.code: one for one in Supplier.objects.filter(code__in=_codes(agreed, lines))}
    standing = offers_on([part.pk for part in parts.values()], today)
    offers = {
        (offer.supplier, key): offer for key, part in parts.items() for offer in standing.get(part.pk, ())
    }
    titles = {item["key"]: item["title"] for _, item in agreed.items()}
    open_facts = {
        (item["key"], line["text"]): line["to_confirm"]
        for _, item in agreed.items()
        for line in item["lines"]
        if line["to_confirm"]
    }
    plan = _plan(agreed, suppliers)
    wanted = [
        replace(
            one,
            purpose=f"{one.purpose}; which part fits needs {to_confirm}" if to_confirm else one.purpose,
            supplier=None if to_confirm else one.supplier,
            supplier_name=TO_CONFIRM if to_confirm else one.supplier_name,
        )
        for line in lines
        for to_confirm in (open_facts.get((line.item, line.description), ""),)
        for one in _wanted(line, parts, suppliers, offers, titles, plan, agreed)
    ]
    found = lists(wanted, _ordered(orders))
    details = {
        (one.supplier, line.part): Detail(
            parts.get(line.part), offers.get((one.supplier, line.part)) if one.supplier else None
        )
        for one in found
        for line in one.lines
    }
    pieces: dict[tuple[str, int], tuple[Part, int]] = {}
    for line in lines:
        part = parts.get(f"{line.part_brand}/{line.part_number}")
        if part is not None:
            before = pieces.get((line.item, part.pk), (part, 0))[1]
            pieces[line.item, part.pk] = (part, before + int(line.quantity))
    return PurchaseList(found, details, suppliers, pieces)


def _codes(agreed: Agreed, lines: Sequence[IssuedLine]) -> set[str]:
    """Codes of the suppliers that the estimate names anywhere."""
    text = agreed.estimate.cost_basis
    taken = {
        one["supplier"]
        for supply in (json.loads(text)["supplies"] if text else ())
        for part in supply["parts"]
        for one in part["taken"]
        if one["supplier"]
    }
    return taken | ({line.supplier for line in lines} - {""})


def _plan(agreed: Agreed, suppliers: Mapping[str, Supplier]) -> dict[str, list[_From]]:
    """By "brand/number", from whom the buying plan frozen with the estimate takes it, and how many pieces.

    Empty for an estimate of before there was a plan: then its lines say from whom."""
    text = agreed.estimate.cost_basis
    found: dict[str, list[_From]] = {}
    for supply in json.loads(text)["supplies"] if text else ():
        for part in supply["parts"]:
            sources = [_source(one, suppliers) for one in part["taken"]]
            # Needs that are bought together repeat what is bought for all of them.
            found.setdefault(f"{part['brand']}/{part['number']}", sources)
    return found


def _source(taken: Mapping[str, Any], suppliers: Mapping[str, Supplier]) -> _From:
    code, price = taken["supplier"], Decimal(taken["price"])
    if code in suppliers:
        return _From(code, suppliers[code].name, taken["pieces"], price)
    if code is None and taken["from"] == SHELF:
        return _From("", SHELF, taken["pieces"], price)
    return _From(None, NOBODY, taken["pieces"], price)


def _wanted(
    line: IssuedLine,
    parts: Mapping[str, Part],
    suppliers: Mapping[str, Supplier],
    offers: Mapping[tuple[str, str], OfferCard],
    titles: Mapping[str, str],
    plan: Mapping[str, list[_From]],
    agreed: Agreed,
) -> Iterator[Wanted]:
    """The line's pieces, from one source of the plan after the other until each has given what it can."""
    key = f"{line.part_brand}/{line.part_number}"
    part = parts.get(key)
    for source, pieces in _shared_out(line, suppliers, plan.get(key, [])):
        offer = offers.get((source.supplier or "", key))
        yield Wanted(
            source.supplier,
            source.name,
            key,
            f"{part.brand.name} {part.number}" if part else f"{line.part_brand} {line.part_number}",
            part.part_type.name if part else line.description,
            pieces,
            source.price,
            offer.deposit if offer else Decimal(0),
            titles.get(line.item, ""),
            line.item not in agreed.if_found,
        )


def _shared_out(
    line: IssuedLine, suppliers: Mapping[str, Supplier], sources: list[_From]
) -> Iterator[tuple[_From, int]]:
    left, known = int(line.quantity), suppliers.get(line.supplier)
    if not sources:
        yield (
            _From(known.code if known else None, known.name if known else NOBODY, left, line.unit_cost),
            left,
        )
        return
    for number, source in enumerate(sources):
        # Packs may hold more than is wanted; what the plan has not enough of comes from its last source.
        pieces = left if number == len(sources) - 1 else min(left, source.pieces)
        source.pieces -= pieces
        left -= pieces
        if source.supplier is None and known:
            source = replace(source, supplier=known.code, name=known.name)
        if pieces:
            yield source, pieces


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
