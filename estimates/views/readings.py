"""Readings written down, many positions at a time, and taken off again."""

from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from estimates.actions import Changed, delete_reading, save_reading
from estimates.forms.readings import ReadingsForm
from estimates.models import Reading
from estimates.views.common import Desk, desk_for, key_or_404, seen_version, signed_in
from estimates.views.page import all_meters, changed_meanwhile, job_page, not_taken
from estimates.views.redirects import to_job


@require_POST
@login_required
def add_readings(request: HttpRequest, pk: int) -> HttpResponse:
    """Every position that was filled in, all or none."""
    desk = desk_for(pk)
    card = desk.book.test_points.get(request.POST.get("test", ""))
    if card is None:
        raise Http404("no such test point")
    form = ReadingsForm(request.POST, book=desk.book, card=card, meters=all_meters())
    if not form.is_valid():
        return job_page(request, desk, status=422, alert=not_taken("readings"), readings_form=form)
    try:
        _write(desk, form, request)
    except Changed:
        alert = changed_meanwhile("readings", desk.job, kept=True)
        return job_page(request, desk_for(pk), status=409, alert=alert, readings_form=form)
    return to_job(pk, "readings")


def _write(desk: Desk, form: ReadingsForm, request: HttpRequest) -> None:
    by, seen = signed_in(request), seen_version(request)
    with transaction.atomic():
        # Each reading counts the version up by one, so the next one of the same form expects it there.
        for number, (reading, meter) in enumerate(form.readings):
            save_reading(desk.job, reading, by=by, at=desk.now, meter=meter, version=seen + number)


@require_POST
@login_required
def remove_reading(request: HttpRequest, pk: int) -> HttpResponse:
    desk, seen = desk_for(pk), seen_version(request)
    rows = Reading.objects.select_related("test_point", "position")
    reading = rows.filter(job=desk.job, pk=key_or_404(request.POST.get("reading", ""))).first()
    if reading is None and seen == desk.job.version:
        raise Http404("no such reading on this job")
    try:
        if reading is None:
            raise Changed.single("reading", "was removed meanwhile", "look again")
        delete_reading(desk.job, reading, by=signed_in(request), at=desk.now, version=seen)
    except Changed:
        alert = changed_meanwhile("readings", desk.job)
        return job_page(request, desk_for(pk), status=409, alert=alert)
    return to_job(pk, "readings")
