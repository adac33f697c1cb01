"""A job is opened: find the customer or the machine first, so that neither is put on record twice.

?q= looks for both; ?unit= opens a job for a machine on record, ?customer= one for another machine of theirs;
?new= one for somebody who comes for the first time. ?family= decides what is asked of the engine.
"""

from dataclasses import dataclass
from typing import Any

from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.db.models import Prefetch, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from catalog.lookup import families_named
from catalog.queries import family_card
from estimates.actions import add_customer, add_unit, open_job
from estimates.forms.opening import ComplaintForm, CustomerForm, NewUnitForm
from estimates.models import Customer, Job, Unit
from estimates.views.common import key_or_404, signed_in

FOUND_AT_MOST = 20


@dataclass
class Opening:
    """Who is known already, and a form for each who is not."""

    unit: Unit | None
    customer: Customer | None
    complaint: ComplaintForm
    customer_form: CustomerForm | None
    unit_form: NewUnitForm | None

    @property
    def forms(self) -> list[Any]:
        return [form for form in (self.customer_form, self.unit_form, self.complaint) if form is not None]

    def is_valid(self) -> bool:
        valid = [form.is_valid() for form in self.forms]  # all of them: every form says what is wrong
        return all(valid)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def open_a_job(request: HttpRequest) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    wanted = asked.get("q", "").replace("\x00", "").strip()[:100]
    if request.method != "POST" and not any(name in asked for name in ("unit", "customer", "new")):
        return render(request, "estimates/open-search.html", {"q": wanted, **_found(wanted)})
    opening = _opening(asked, bound=request.method == "POST")
    status = 200
    if request.method == "POST":
        if opening.is_valid():
            return redirect("job", pk=_write(opening, request).pk)
        status = 422
    return render(
        request, "estimates/open-job.html", {"opening": opening, "refused": status == 422}, status=status
    )


def _found(wanted: str) -> dict[str, Any]:
    """Customers and their machines that match every word. Two statements."""
    if not wanted:
        return {}
    rows = Customer.objects.order_by("name", "pk").prefetch_related(
        Prefetch("units", Unit.objects.select_related("family").order_by("name"))
    )
    for word in wanted.split():
        anywhere = Q()
        for path in ("number", "name", "phone", "email"):
            anywhere |= Q(**{f"{path}__icontains": word})
        units = Q()
        for path in ("number", "name", "registration", "serial", "vin"):
            units |= Q(**{f"{path}__icontains": word})
        rows = rows.filter(anywhere | Q(pk__in=Unit.objects.filter(units).values("customer")))
    customers = list(rows[: FOUND_AT_MOST + 1])
    return {"customers": customers[:FOUND_AT_MOST], "more": len(customers) > FOUND_AT_MOST}


def _opening(asked: Any, *, bound: bool) -> Opening:
    data = asked if bound else None
    unit = customer = None
    if asked.get("unit"):
        rows = Unit.objects.select_related("customer", "family")
        unit = get_object_or_404(rows, pk=key_or_404(asked["unit"]))
        customer = unit.customer
    elif asked.get("customer"):
        customer = get_object_or_404(Customer, pk=key_or_404(asked["customer"]))
    unit_form = None
    if unit is None:
        code = asked.get("family", "")
        unit_form = NewUnitForm(
            data, families=families_named(), family=family_card(code) if code else None, initial=asked.dict()
        )
    return Opening(unit, customer, ComplaintForm(data), None if customer else CustomerForm(data), unit_form)


@transaction.atomic
def _write(opening: Opening, request: HttpRequest) -> Job:
    """Whoever is new, what is new, and the job: all or nothing."""
    customer, unit = opening.customer, opening.unit
    if customer is None:
        assert opening.customer_form is not None
        customer = add_customer(opening.customer_form.customer)
    if unit is None:
        assert opening.unit_form is not None
        unit = add_unit(customer, opening.unit_form.unit)
    now = timezone.localtime()
    complaint = opening.complaint.cleaned_data["complaint"]
    return open_job(unit, complaint, by=signed_in(request), at=now, opened_on=now.date())
