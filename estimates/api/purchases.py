"""Buying for a job: the list by supplier, orders, and what came of them."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.models import Supplier
from catalog.part_named import part_named
from estimates.agreed import agreed_on
from estimates.api.after_shape import OrderFileSerializer, PurchaseListSerializer, ReceiptsFileSerializer
from estimates.api.changes import JobChange, changes_a_job, problem_response
from estimates.api.desk import Desk, desk_for
from estimates.api.renderers import PDF, PdfRenderer, PlainJSONRenderer, Unavailable, pdf_file
from estimates.documents.purchase_list import purchase_content, purchase_csv, purchase_pdf
from estimates.models import Job, Purchase, Receipt
from estimates.ordering import Came, OrderLine, order, receive
from estimates.purchases import orders_of, purchase_list
from estimates.queries import the_workshop
from shop.api.filters import check_parameters
from shop.api.permissions import signed_in
from shop.api.views import Api
from shop.pdf import PdfUnavailable
from shop.rules.entry import Faults, decimal_entry, keys_entry, text_entry, whole_entry
from shop.rules.errors import Refused

MOST_LINES, MOST_PIECES, MOST_LINE_KEY = 200, 9999, 2**31 - 1


class PurchaseCsvRenderer(BaseRenderer):
    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, *args: Any, **kwargs: Any) -> bytes:
        return purchase_csv(data).encode()


class PurchaseListView(Api):
    """What the agreed items need from whom, what is ordered and what is missing: the shop's own knowledge.

    As CSV a record for each line, as a PDF a page for each supplier. 404 while nothing is issued.
    """

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer, PurchaseCsvRenderer, PdfRenderer)

    @extend_schema(
        responses={
            (200, "application/json"): PurchaseListSerializer,
            (200, "text/csv"): OpenApiTypes.STR,
            (200, PDF): OpenApiTypes.BINARY,
            **problem_response(503, "This machine cannot make a PDF."),
        },
        operation_id="jobs_purchase_list",
    )
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk, today = desk_for(number), timezone.localdate()
        agreed = agreed_on(desk.job)
        if agreed is None:
            raise Http404(f"Nothing is issued for job {number}.")
        workshop, orders = the_workshop(), orders_of(desk.job)
        wanted = purchase_list(agreed, orders, today)
        document = purchase_content(desk.job, workshop, agreed, wanted, orders, today)
        if request.accepted_renderer.format != PdfRenderer.format:
            return Response(document)
        try:
            pdf = purchase_pdf(document, paper=workshop.paper, workshop=workshop.name)
        except PdfUnavailable as missing:
            raise Unavailable(str(missing)) from missing
        return pdf_file(pdf, f"purchase-list-{number}.pdf")


class PurchasesView(JobChange):
    """An order to one supplier, or parts taken from the shop's own shelf, which are there at once. Refused
    where the work goes beyond what the customer authorised."""

    queryset = Purchase.objects.all()

    @changes_a_job(OrderFileSerializer, operation_id="purchases_order")
    def post(self, request: Request, number: str) -> Response:
        def write(desk: Desk, seen: int | None) -> None:
            supplier, freight, lines = given_order(request.data)
            order(
                desk.job,
                supplier,
                lines,
                by=signed_in(request),
                at=timezone.localtime(),
                freight=freight,
                estimate=agreed_on(desk.job),
                version=seen,
            )

        return self.change(request, number, write)


def given_order(raw: Any) -> tuple[Supplier | None, Decimal, list[OrderLine]]:
    """The order of a body. Refused with every fault."""
    faults = Faults()
    if not keys_entry(raw, "the body", ("supplier", "parts"), ("freight",), faults):
        faults.refuse()
    code = text_entry(raw["supplier"], "supplier", faults, longest=60)
    supplier = Supplier.objects.filter(code=code).first() if code and not faults else None
    if code and supplier is None and not faults:
        codes = Supplier.objects.values_list("code", flat=True)
        faults.near("supplier", "supplier", code, list(codes))
    freight = not_negative(raw.get("freight", "0"), "freight", faults)
    lines = [
        line
        for index, one in enumerate(listed(raw["parts"], "parts", MOST_LINES, faults))
        if (line := _line(one, f"parts[{index}]", faults)) is not None
    ]
    faults.refuse()
    return supplier, freight, lines


def listed(raw: Any, where: str, most: int, faults: Faults) -> list[Any]:
    """A list of at most `most` things."""
    if not isinstance(raw, list):
        faults.add(where, "is not a list", "write it in brackets, [...]")
        return []
    if len(raw) > most:
        faults.add(where, f"has {len(raw)} entries", f"give at most {most} at once")
        return []
    return raw


def not_negative(raw: Any, where: str, faults: Faults) -> Decimal:
    value = decimal_entry(raw, where, faults)
    if value is None:
        return Decimal(0)
    exponent = value.as_tuple().exponent
    if value < 0 or value.adjusted() > 9 or (isinstance(exponent, int) and exponent < -4):
        faults.add(where, f"{value} is no amount", "give 0 or more, with at most 4 decimals")
    return value


def _line(raw: Any, where: str, faults: Faults) -> OrderLine | None:
    optional = ("deposit", "supplier_number", "expected_on")
    if not keys_entry(raw, where, ("part", "quantity", "unit_cost"), optional, faults):
        return None
    before = len(faults)
    quantity = whole_entry(raw["quantity"], f"{where}, quantity", faults, least=1, most=MOST_PIECES)
    cost = not_negative(raw["unit_cost"], f"{where}, unit_cost", faults)
    deposit = not_negative(raw.get("deposit", "0"), f"{where}, deposit", faults)
    theirs = text_entry(raw.get("supplier_number"), f"{where}, supplier_number", faults, longest=60)
    expected = _day(raw.get("expected_on"), f"{where}, expected_on", faults)
    part = part_entry(raw["part"], f"{where}, part", faults)
    if len(faults) > before or part is None or quantity is None:
        return None
    return OrderLine(part, quantity, cost, deposit, theirs, expected)


def part_entry(raw: Any, where: str, faults: Faults) -> Any:
    """The part that "brand/number" names; None with a fault."""
    called = text_entry(raw, where, faults, longest=140, required=True)
    if not called or "\x00" in called:
        return None
    try:
        return part_named(called, where)
    except Refused as refusal:
        faults.extend(refusal.faults)
        return None


def _day(raw: Any, where: str, faults: Faults) -> date | None:
    if raw is None:
        return None
    try:
        return date.fromisoformat(raw)
    except (TypeError, ValueError):
        faults.add(where, f"{raw!r} is not a day", "write it like 2026-03-14, or leave it out")
        return None


class ReceiptsView(JobChange):
    """What came of the orders of a job, written down whole or not at all. Wrong pieces stay missing."""

    queryset = Receipt.objects.all()

    @changes_a_job(ReceiptsFileSerializer, operation_id="receipts_write")
    def post(self, request: Request, number: str) -> Response:
        def write(desk: Desk, seen: int | None) -> None:
            came = given_receipts(request.data)
            receive(desk.job, came, by=signed_in(request), at=timezone.localtime(), version=seen)

        return self.change(request, number, write)


def given_receipts(raw: Any) -> list[Came]:
    """What came, of a body. Refused with every fault."""
    faults, came = Faults(), []
    if not keys_entry(raw, "the body", ("came",), (), faults):
        faults.refuse()
    for index, one in enumerate(listed(raw["came"], "came", MOST_LINES, faults)):
        where = f"came[{index}]"
        if not keys_entry(one, where, ("line", "quantity"), ("wrong",), faults):
            continue
        line = whole_entry(one["line"], f"{where}, line", faults, least=1, most=MOST_LINE_KEY)
        pieces = whole_entry(one["quantity"], f"{where}, quantity", faults, least=1, most=MOST_PIECES)
        wrong = text_entry(one.get("wrong"), f"{where}, wrong", faults, longest=200)
        if line is not None and pieces is not None:
            came.append(Came(line, pieces, wrong))
    faults.refuse()
    return came
