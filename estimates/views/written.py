"""One form of the sections after the decision, carried out or refused; what was typed stays in its fields."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.http import HttpRequest, HttpResponse

from estimates.actions import Changed
from estimates.views.common import Desk, desk_for, seen_version, signed_in
from estimates.views.page import changed_meanwhile, job_page, refused
from estimates.views.redirects import to_job
from shop.rules.errors import Refused

Write = Callable[[Desk, AbstractBaseUser, int], Any]


def written(request: HttpRequest, pk: int, section: str, write: Write) -> HttpResponse:
    """Do `write(desk, by, version)` and go back to the section; what was typed stays where it is refused."""
    desk = desk_for(pk)
    by = signed_in(request)
    typed = {name: str(request.POST[name]) for name in request.POST}
    typed["arisen"] = " ".join(request.POST.getlist("arisen"))
    try:
        write(desk, by, seen_version(request))
    except Changed:
        alert = changed_meanwhile(section, desk.job)
        return job_page(request, desk_for(pk), status=409, alert=alert, typed=typed)
    except Refused as refusal:
        return job_page(
            request, desk_for(pk), status=422, alert=refused(section, refusal.faults), typed=typed
        )
    return to_job(pk, section)
