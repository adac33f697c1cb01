"""The list of jobs, newest first, a page at a time."""

from datetime import date
from typing import Any

from django.contrib.auth.decorators import login_required
from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.rules.interval import day_text
from estimates.decisions import with_standing
from estimates.models import IssuedEstimate, Job
from estimates.rules.life import Decided

PER_PAGE = 25
SEARCHED = (
    "number", "unit__number", "unit__name", "unit__registration", "unit__serial", "unit__vin",
    "unit__customer__name", "unit__customer__number",
)  # fmt: skip


@require_safe
@login_required
def jobs(request: HttpRequest) -> HttpResponse:
    wanted = request.GET.get("q", "").replace("\x00", "").strip()[:100]
    rows = _matching(wanted)
    older = request.GET.get("older-than", "")
    if older:
        rows = rows.filter(_older_than(older))
    page = list(rows[: PER_PAGE + 1])
    today, decided = timezone.localdate(), _decided(page)
    context: dict[str, Any] = {
        "q": wanted,
        "lines": [
            {"job": job, "state": state_in_words(job, today, decided.get(job.pk))} for job in page[:PER_PAGE]
        ],
        "older": page[PER_PAGE - 1].pk if len(page) > PER_PAGE else None,
        "first_page": not older,
    }
    return render(request, "estimates/jobs.html", context)


def _matching(wanted: str) -> QuerySet[Any]:
    """Jobs with what was last issued for each; every word of the search has to occur somewhere."""
    last = IssuedEstimate.objects.filter(job=OuterRef("pk")).order_by("-revision")
    rows = Job.objects.select_related("unit__customer").order_by("-opened_on", "-pk")
    for word in wanted.split():
        anywhere = Q()
        for path in SEARCHED:
            anywhere |= Q(**{f"{path}__icontains": word})
        rows = rows.filter(anywhere)
    return rows.annotate(
        **{f"last_{name}": Subquery(last.values(name)[:1])
           for name in ("revision", "valid_until", "firm_total", "currency")}
    )  # fmt: skip


def _older_than(text: str) -> Q:
    """Pages by key: what follows a job in the order, however deep it lies."""
    place = (
        Job.objects.filter(pk=int(text)).values_list("opened_on", "pk").first()
        if text.isascii() and text.isdecimal() and len(text) < 19
        else None
    )
    if place is None:
        raise Http404("no such job")
    return Q(opened_on__lt=place[0]) | Q(opened_on=place[0], pk__lt=place[1])


def _decided(page: list[Any]) -> dict[int, Decided]:
    """The decision on what was last issued, by job. One statement."""
    last = IssuedEstimate.objects.filter(job__in=page, replaced_by__isnull=True)
    rows = with_standing(last).filter(decision__isnull=False).order_by()
    return {job: Decided(*counts) for job, *counts in rows.values_list("job", "agreed", "firm_left_out")}


def state_in_words(job: Any, today: date, decided: Decided | None = None) -> str:
    """Where the job stands, from what was last issued for it and what was decided on that."""
    if job.last_revision is None:
        return "draft, nothing issued yet"
    issued = f"revision {job.last_revision}"
    if decided is not None:
        return f"{issued} {decided.state}"
    if job.last_valid_until < today:
        return f"{issued} expired on {day_text(job.last_valid_until)}"
    return f"{issued} issued, valid until {day_text(job.last_valid_until)}"
