"""The switches: which contingent and optional items are taken into the firm price.

Sent as a whole, so it works without script; with htmx the estimate alone is answered, totals worked out anew.
"""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from estimates.actions import Changed, choose
from estimates.builder import Built
from estimates.views.common import Desk, desk_for, seen_version, signed_in
from estimates.views.estimate import estimate_section
from estimates.views.page import changed_meanwhile, job_page, refused, try_to_build
from estimates.views.redirects import to_job
from estimates.views.sourcing_section import sourcing_section

# The forms outside the estimate that carry the job's version, and the id of a form whose field stands apart
# from it; the names are those in the templates.
OTHER_FORMS = (
    ("machine", ""),
    ("readings", "readings-form"),
    ("reading-removal", ""),
    ("findings", ""),
    ("finding-removal", ""),
    ("factors", ""),
    ("factor-removal", ""),
    ("line", ""),
    ("discount", ""),
    ("payment", ""),
    ("by-hand-removal", ""),
    ("later", ""),
)


@require_POST
@login_required
def choices(request: HttpRequest, pk: int) -> HttpResponse:
    desk = desk_for(pk)
    built, faults = try_to_build(desk)
    if built is None:
        return job_page(request, desk, status=422, alert=refused("estimate", faults))
    titles = {item.key: item.title for item in built.plan.items if item.group != "firm" or item.origin}
    wanted = set(request.POST.getlist("include"))
    try:
        if wanted - titles.keys() and seen_version(request) == desk.job.version:
            raise Http404("no such item in the estimate")
        _switch(desk, built, wanted, request)
    except Changed:
        named = sorted(titles[key] for key in wanted & titles.keys())
        alert = changed_meanwhile("estimate", desk.job, wanted=named)
        return _answer(request, pk, status=409, alert=alert)
    return _answer(request, pk) if _live(request) else to_job(pk, "estimate")


def _switch(desk: Desk, built: Built, wanted: set[str], request: HttpRequest) -> None:
    by, seen = signed_in(request), seen_version(request)
    taken_in = {item.key for item in built.plan.items if item.origin}
    with transaction.atomic():
        for number, key in enumerate(sorted(wanted ^ taken_in)):
            choose(desk.job, key, key in wanted, by=by, at=desk.now, version=seen + number)


def _live(request: HttpRequest) -> bool:
    return bool(getattr(request, "htmx", False))


def _answer(
    request: HttpRequest, pk: int, *, status: int = 200, alert: dict[str, Any] | None = None
) -> HttpResponse:
    desk = desk_for(pk)
    if not _live(request):
        return job_page(request, desk, status=status, alert=alert)
    built, faults = try_to_build(desk)
    # After a conflict the rest of the page is out of date, so its forms keep the version they were made from.
    context = (
        estimate_section(desk, built, faults)
        | sourcing_section(desk, built)
        | {
            "job": desk.job,
            "alert": alert,
            "live": True,
            "carry_version": status == 200,
            "other_forms": OTHER_FORMS,
        }
    )
    return render(request, "estimates/estimate.html", context, status=status)
