"""The demonstration: an invented workshop, its catalogue, one user and one complete job.

Every step looks first whether it was done before, so that running it twice changes nothing.
"""

import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractUser

from catalog.actions import import_pack
from estimates.actions import keep_job
from estimates.builder import build_for
from estimates.documents.pdf import PdfUnavailable
from estimates.issuing import draft_content, issue
from estimates.jobfile import read_job_file
from estimates.models import IssuedEstimate, Job
from shop.actions import set_up_workshop
from shop.models import Workshop
from shop.rules.errors import Refused

FIXTURES = Path(settings.BASE_DIR) / "fixtures"
JOB_FILE = FIXTURES / "jobs" / "v8-rough-cold-start.json"
JOB_NUMBER = "J1001"
USER = "demo"


@dataclass(frozen=True)
class Demonstration:
    """What is there now: the document, and the issued estimate unless something that PDFs need is `lacking`.

    `password` only where it was made in this run; it is stored nowhere readable.
    """

    document: dict[str, Any]
    estimate: IssuedEstimate | None
    lacking: str
    user: AbstractUser
    password: str | None


def the_demonstration(at: datetime, *, new_password: bool = False) -> Demonstration:
    """Catalogue, workshop, user, job and issued estimate. Refused in the database of a real workshop."""
    workshop = Workshop.objects.filter(pk=1).first()
    if workshop is not None and not workshop.demonstration:
        raise Refused.single(
            "database",
            f"belongs to {workshop.name}; invented data has no place in it",
            "set TALLYBORE_DATA to an empty folder, or DATABASE_URL to another database",
        )
    import_pack(FIXTURES / "demo")
    if workshop is None:
        set_up_workshop(FIXTURES / "workshop.json")
    user, password = _user(new_password)
    job = _job(user, at)
    issued = IssuedEstimate.objects.filter(job=job).order_by("-revision").first()
    lacking = ""
    if issued is None:
        try:
            issued = issue(job, by=user, at=at)
        except PdfUnavailable as missing:
            # The job stays a draft; running the demonstration again issues it.
            lacking = str(missing)
    document = json.loads(issued.document) if issued else draft_content(build_for(job, at.date()), at)
    return Demonstration(document, issued, lacking, user, password)


def _user(new_password: bool) -> tuple[AbstractUser, str | None]:
    users = get_user_model()
    user = users.objects.filter(username=USER).first()
    if user is not None and not new_password:
        return user, None
    password = secrets.token_urlsafe(9)
    user = user or users(username=USER, is_staff=True, is_superuser=True, first_name="Demo")
    user.set_password(password)
    user.save()
    return user, password


def _job(user: AbstractUser, at: datetime) -> Job:
    jobs = Job.objects.select_related("unit__customer", "unit__family")
    if not jobs.filter(number=JOB_NUMBER).exists():
        intake, _ = read_job_file(JOB_FILE, at.date())
        keep_job(intake, by=user, at=at, number=JOB_NUMBER)
    return jobs.get(number=JOB_NUMBER)
