"""What a person sets on the price of a job: written down and taken off again."""

from collections.abc import Callable

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed
from estimates.byhand import add_payment, delete_discount, delete_hand_line, save_discount, save_hand_line
from estimates.forms.byhand import ByHandForm, DiscountForm, HandLineForm, PaymentForm
from estimates.models import Discount, HandLine
from estimates.queries import job_in
from estimates.views.byhand_section import SECTION, item_titles
from estimates.views.common import Desk, desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, not_taken, refused, try_to_build
from estimates.views.redirects import to_job
from shop.rules.errors import Refused

Save = Callable[[Desk, int], object]


@require_POST
@login_required
def add_hand_line(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused(SECTION, faults))
    form = HandLineForm(request.POST, currency=built.terms.currency)
    by = signed_in(request)
    return _saved(
        request,
        desk,
        form,
        lambda at, seen: save_hand_line(at.job, form.hand, by=by, at=at.now, version=seen),
    )


@require_POST
@login_required
def add_discount(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused(SECTION, faults))
    form = DiscountForm(request.POST, currency=built.terms.currency, items=item_titles(built).items())
    by = signed_in(request)
    return _saved(
        request, desk, form,
        lambda at, seen: save_discount(at.job, form.discount, by=by, at=at.now, version=seen),
    )  # fmt: skip


@require_POST
@login_required
def add_a_payment(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused(SECTION, faults))
    paid = job_in(desk.job, desk.book.family).payments
    form = PaymentForm(request.POST, currency=built.terms.currency, today=desk.now.date(), paid=paid)
    by = signed_in(request)
    return _saved(
        request,
        desk,
        form,
        lambda at, seen: add_payment(at.job, form.payment, by=by, at=at.now, version=seen),
    )


def _saved(request: HttpRequest, desk: Desk, form: ByHandForm, save: Save) -> HttpResponse:
    """Save what is valid; show the page with the form as typed where it is not, or came too late."""
    if not form.is_valid():
        return job_page(request, desk, status=422, alert=not_taken(SECTION), by_hand_form=form)
    try:
        save(desk, seen_version(request))
    except Changed:
        alert = changed_meanwhile(SECTION, desk.job, kept=True)
        return job_page(request, desk_for(desk.job.pk), status=409, alert=alert, by_hand_form=form)
    except Refused as refusal:
        alert = refused(SECTION, refusal.faults)
        return job_page(request, desk_for(desk.job.pk), status=422, alert=alert, by_hand_form=form)
    return to_job(desk.job.pk, SECTION)


@require_POST
@login_required
def remove_by_hand(request: HttpRequest, pk: int) -> HttpResponse:
    """Take off the line whose key is `line`, or the discount on `discount` (a key, or "document")."""
    desk, seen, by = desk_for(pk), seen_version(request), signed_in(request)
    line = request.POST.get("line", "")
    wanted = request.POST.get("discount", "")
    lines = {row.key: row for row in HandLine.objects.filter(job=desk.job)}
    discounts = {row.item or "document": row for row in Discount.objects.filter(job=desk.job)}
    if line not in lines and wanted not in discounts and seen == desk.job.version:
        raise Http404("no such line or discount on this job")
    try:
        if line in lines:
            delete_hand_line(desk.job, lines[line], by=by, at=desk.now, version=seen)
        elif wanted in discounts:
            delete_discount(desk.job, discounts[wanted], by=by, at=desk.now, version=seen)
        else:
            raise Changed.single("it", "was removed meanwhile", "look again")
    except Changed:
        return job_page(request, desk_for(pk), status=409, alert=changed_meanwhile(SECTION, desk.job))
    return to_job(pk, SECTION)
