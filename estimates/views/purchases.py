"""Buying on the page of a job: the list by supplier, orders, what came, and the list on paper and as CSV."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import AbstractBaseUser
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from catalog.models import Part, Supplier
from estimates.agreed import agreed_on
from estimates.documents.purchase_list import purchase_content, purchase_csv, purchase_pdf
from estimates.ordering import Came, OrderLine, order, receive
from estimates.purchases import orders_of, purchase_list
from estimates.queries import the_workshop
from estimates.views.common import Desk, desk_for
from estimates.views.page import job_page, refused
from estimates.views.written import written
from shop.pdf import PdfUnavailable
from shop.rules.entry import Faults, decimal_entry, text_entry, whole_entry
from shop.rules.errors import Fault

MOST = 9999


@require_POST
@login_required
def order_parts(request: HttpRequest, pk: int) -> HttpResponse:
    def write(desk: Desk, by: AbstractBaseUser, version: int) -> None:
        supplier, lines = _typed_order(request)
        order(desk.job, supplier, lines, by=by, at=desk.now, estimate=agreed_on(desk.job), version=version)

    return written(request, pk, "purchase", write)


def _typed_order(request: HttpRequest) -> tuple[Supplier | None, list[OrderLine]]:
    code = request.POST.get("supplier", "")
    supplier = Supplier.objects.filter(code=code).first() if code and "\x00" not in code else None
    if code and supplier is None:
        raise Http404("no such supplier")
    numbers = [name.removeprefix("part-") for name in request.POST if name.startswith("part-")]
    keys = {n: request.POST[f"part-{n}"] for n in numbers}
    pks = [int(key) for key in keys.values() if key.isascii() and key.isdecimal() and len(key) < 19]
    parts = Part.objects.select_related("brand").in_bulk(pks)
    faults, lines = Faults(), []
    for n in numbers:
        part = parts.get(int(keys[n])) if keys[n].isascii() and keys[n].isdecimal() else None
        if part is None:
            raise Http404("no such part")
        line = _typed_line(request, n, part, faults)
        if line is not None:
            lines.append(line)
    faults.refuse()
    return supplier, lines


def _typed_line(request: HttpRequest, n: str, part: Part, faults: Faults) -> OrderLine | None:
    given = request.POST.get(f"quantity-{n}", "").strip()
    if not given or given == "0":
        return None
    quantity = whole_entry(given, f"{part}, pieces", faults, least=1, most=MOST)
    cost = decimal_entry(request.POST.get(f"cost-{n}", ""), f"{part}, cost", faults)
    if cost is not None and cost < 0:
        faults.add(f"{part}, cost", f"{cost} is negative", "give zero or more")
    deposit = decimal_entry(request.POST.get(f"deposit-{n}", "0") or "0", f"{part}, deposit", faults)
    theirs = text_entry(request.POST.get(f"theirs-{n}", ""), f"{part}, their number", faults, longest=60)
    expected = day_entry(request.POST.get(f"expected-{n}", ""), f"{part}, expected", faults)
    if quantity is None or cost is None:
        return None
    return OrderLine(part, quantity, cost, deposit or Decimal(0), theirs, expected)


def day_entry(text: str, where: str, faults: Faults) -> date | None:
    """An ISO day, None for none."""
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        faults.add(where, f"'{text}' is not a day", "write it like 2026-03-14, or leave it out")
        return None


@require_POST
@login_required
def receive_parts(request: HttpRequest, pk: int) -> HttpResponse:
    def write(desk: Desk, by: AbstractBaseUser, version: int) -> None:
        faults, came = Faults(), []
        for name in request.POST:
            given = str(request.POST[name])
            line = name.removeprefix("came-")
            if not name.startswith("came-") or not given.strip() or not line.isdecimal() or len(line) > 18:
                continue
            pieces = whole_entry(given, "pieces that came", faults, least=1, most=MOST)
            wrong = text_entry(
                request.POST.get(f"wrong-{line}", ""), "what is wrong with them", faults, longest=200
            )
            if pieces is not None:
                came.append(Came(int(line), pieces, wrong))
        faults.refuse()
        receive(desk.job, came, by=by, at=desk.now, version=version)

    return written(request, pk, "purchase", write)


# Files


@require_safe
@login_required
def purchase_file(request: HttpRequest, pk: int, form: str) -> HttpResponse:
    """The list as "pdf" (?supplier=CODE for one of them alone) or "csv"."""
    desk = desk_for(pk)
    agreed = agreed_on(desk.job)
    if agreed is None or form not in ("pdf", "csv"):
        raise Http404("nothing is issued for this job")
    workshop, orders, today = the_workshop(), orders_of(desk.job), desk.now.date()
    wanted = purchase_list(agreed, orders, today)
    document = purchase_content(desk.job, workshop, agreed, wanted, orders, today)
    if form == "csv":
        text = purchase_csv(document)
        return _file(HttpResponse(text, content_type="text/csv; charset=utf-8; header=present"), desk, form)
    try:
        only = request.GET.get("supplier")
        pdf = purchase_pdf(document, paper=workshop.paper, workshop=workshop.name, only=only)
    except PdfUnavailable as missing:
        fault = Fault("PDF", str(missing), "install it, then try again")
        return job_page(request, desk, status=503, alert=refused("purchase", [fault]))
    return _file(HttpResponse(pdf, content_type="application/pdf"), desk, form)


def _file(response: HttpResponse, desk: Desk, form: str) -> HttpResponse:
    name = f"purchase-list-{desk.job.number}.{form}"
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Cache-Control"] = "private, no-cache"
    return response
