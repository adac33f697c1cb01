"""What every page of a job starts with: the job, its engine's service data, the hour, the version seen."""

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.http import Http404, HttpRequest
from django.shortcuts import get_object_or_404
from django.utils import timezone

from catalog.service_cards import ServiceBook
from estimates.builder import book_of
from estimates.models import Job

NEVER = -1  # no job has this version


@dataclass(frozen=True)
class Desk:
    """A job being looked at, `now` being local time."""

    job: Job
    book: ServiceBook
    now: datetime


def desk_for(pk: int) -> Desk:
    """The job with its unit, customer and family, or 404."""
    rows = Job.objects.select_related("unit__customer", "unit__family", "writer")
    job = get_object_or_404(rows, pk=pk)
    return Desk(job, book_of(job.unit.family.code), timezone.localtime())


def seen_version(request: HttpRequest) -> int:
    """The version of the job that the form was made from; a form that does not say is taken for outdated."""
    text = request.POST.get("version", "")
    return int(text) if _is_whole(text, 9) else NEVER


def key_or_404(text: str) -> int:
    if not _is_whole(text, 18):
        raise Http404("no such key")
    return int(text)


def _is_whole(text: str, longest: int) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= longest


def signed_in(request: HttpRequest) -> AbstractBaseUser:
    """Who does it; every view here requires signing in."""
    assert isinstance(request.user, AbstractBaseUser)
    return request.user
