"""The purchase list: what to buy from whom for a job, as JSON values, on paper (a page a supplier), as CSV.

It is the shop's own paper: it names suppliers and costs, and is never given to the customer.
"""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal
from typing import Any

from django.template.loader import get_template

from catalog.rules.interval import day_text
from estimates.agreed import Agreed
from estimates.documents.wording import DEMONSTRATION
from estimates.models import Job, Purchase
from estimates.purchases import PurchaseList, awaited
from estimates.rules.buying import ListLine, SupplierList
from shop.models import Workshop
from shop.pdf import known_paper, write_pdf
from shop.rules.csv_text import unexecuted
from shop.rules.currency import round_money

Json = dict[str, Any]
FORMAT = "tallybore-purchase-list/1"
COLUMNS = (
    "job", "estimate", "revision", "decided", "supplier", "supplier_name", "brand", "number", "name",
    "supplier_number", "needed", "ordered", "to_order", "if_found", "unit_cost", "deposit", "currency",
    "expected_on", "purpose",
)  # fmt: skip


def purchase_content(
    job: Job, workshop: Workshop, agreed: Agreed, wanted: PurchaseList, orders: list[Purchase], today: date
) -> Json:
    """Everything about buying for a job: lists by supplier, orders, and what is missing."""
    return {
        "format": FORMAT,
        "job": job.number,
        "printed_on": today.isoformat(),
        "demonstration": workshop.demonstration,
        "currency": agreed.currency,
        "estimate": agreed.estimate.number,
        "revision": agreed.estimate.revision,
        "decided": agreed.decided,
        "needed_by": job.needed_by.isoformat() if job.needed_by else None,
        "suppliers": [_supplier(one, wanted, agreed, today) for one in wanted.lists],
        "orders": [order_content(one, agreed.currency, today) for one in orders],
    }


def _supplier(one: SupplierList, wanted: PurchaseList, agreed: Agreed, today: date) -> Json:
    row = wanted.suppliers.get(one.supplier or "")
    return {
        "supplier": one.supplier,
        "name": one.name,
        "email": row.email if row else "",
        "phone": row.phone if row else "",
        "lines": [_line(line, one.supplier, wanted, agreed, today) for line in one.lines],
    }


def _line(line: ListLine, supplier: str | None, wanted: PurchaseList, agreed: Agreed, today: date) -> Json:
    detail = wanted.details[supplier, line.part]
    to_order = detail.orderable(line.to_order)
    expected = detail.expected_on(today) if to_order else None
    brand, _, number = line.part.partition("/")
    return {
        "brand": brand,
        "number": number,
        "label": line.label,
        "name": line.name,
        "supplier_number": detail.supplier_number,
        "needed": line.quantity,
        "ordered": line.ordered,
        "to_order": to_order,
        "if_found": line.if_found,
        "unit_cost": None if line.unit_cost is None else _cost(line.unit_cost, agreed.currency),
        "deposit": _cost(line.deposit, agreed.currency),
        "expected_on": expected.isoformat() if expected else None,
        "purpose": list(line.purposes),
    }


def _cost(value: Decimal, currency: str) -> str:
    """A buying price may be finer than the currency's smallest unit; it keeps its own decimals."""
    rounded = round_money(value, currency)
    return str(rounded) if rounded == value else f"{value.normalize():f}"


def order_content(order: Purchase, currency: str, today: date) -> Json:
    """One order with what came of it and what is missing."""
    return {
        "number": order.number,
        "supplier": order.supplier.code if order.supplier else None,
        "name": order.supplier.name if order.supplier else "the shop’s own shelf",
        "ordered_on": order.ordered_at.date().isoformat(),
        "ordered_by": order.ordered_by.get_username() if order.ordered_by else None,
        "freight": _cost(order.freight, currency),
        "lines": [_order_line(line, currency, today) for line in order.lines.all()],
    }


def _order_line(line: Any, currency: str, today: date) -> Json:
    waits = awaited(line)
    return {
        "line": line.pk,
        "brand": line.part.brand.code,
        "number": line.part.number,
        "label": f"{line.part.brand.name} {line.part.number}",
        "name": line.part.part_type.name,
        "supplier_number": line.supplier_number,
        "quantity": line.quantity,
        "unit_cost": _cost(line.unit_cost, currency),
        "deposit": _cost(line.deposit, currency),
        "expected_on": line.expected_on.isoformat() if line.expected_on else None,
        "received": waits.received,
        "missing": waits.missing,
        "overdue_days": waits.overdue(today),
        "receipts": [
            {
                "quantity": one.quantity,
                "received_at": one.received_at.isoformat(),
                "received_by": one.received_by.get_username() if one.received_by else None,
                "wrong": one.note,
            }
            for one in line.receipts.all()
        ],
    }


# On paper and as a table


def purchase_html(document: Json, *, paper: str = "A4", workshop: str = "", only: str | None = None) -> str:
    """A page for each supplier with something to order; `only` one of them (its code)."""
    pages = [
        one
        for one in document["suppliers"]
        if (only is None or one["supplier"] == only)
        and any(line["to_order"] or line["if_found"] for line in one["lines"])
    ]
    context = {
        "document": document,
        "pages": pages,
        "paper": known_paper(paper),
        "workshop": workshop,
        "printed": day_text(date.fromisoformat(document["printed_on"])),
        "needed_by": document["needed_by"] and day_text(date.fromisoformat(document["needed_by"])),
        "notice": DEMONSTRATION if document["demonstration"] else "",
    }
    return get_template("documents/purchase-list.html").render(context)


def purchase_pdf(document: Json, *, paper: str = "A4", workshop: str = "", only: str | None = None) -> bytes:
    """The PDF of that. Raises shop.pdf.PdfUnavailable where Pango is missing."""
    return write_pdf(purchase_html(document, paper=paper, workshop=workshop, only=only), "purchase-list")


def purchase_csv(document: Json) -> str:
    """A record for each line of the lists (RFC 4180), each standing alone."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for one in document["suppliers"]:
        for line in one["lines"]:
            record = {
                **document,
                **line,
                "supplier": one["supplier"],
                "supplier_name": one["name"],
                "decided": "yes" if document["decided"] else "no",
                "purpose": "; ".join(line["purpose"]),
            }
            cells = ("" if record[name] is None else str(record[name]) for name in COLUMNS)
            writer.writerow([unexecuted(cell) for cell in cells])
    return text.getvalue()
