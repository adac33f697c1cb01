"""A whole job from a body in the form of a job file, written down or refused as a whole."""

import re
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from estimates.actions import By, keep_job
from estimates.builder import build
from estimates.jobfile import job_from
from estimates.models import Customer, Job
from estimates.rules.intake import JobIn
from shop.integrity import refusal
from shop.rules.entry import Faults
from shop.rules.errors import Refused

NUMBER = re.compile(r"[A-Za-z0-9]+(?:[-.][A-Za-z0-9]+)*")
# The workshop counts on from the highest number of its own; a huge one would leave no room above it.
TOO_HIGH = re.compile(r"[CJ]\d{9,}")


def kept_job(raw: Any, *, by: By, at: datetime) -> Job:
    """The job of a body, written down. Refused with every fault, and then nothing is written."""
    brought, book = job_from(raw, at.date())
    number = brought.number if raw.get("number") else ""
    faults = Faults()
    _check_number(number, faults)
    _check_customer(raw, brought, faults)
    if brought.included:
        known = {
            item.key
            for item in build(brought, at.date(), book=book).plan.items
            if item.group != "firm" or item.origin
        }
        for index, key in enumerate(raw["include"]):
            if key.strip() not in known:
                faults.near(f"include[{index}]", "contingent or optional item", key.strip(), known)
    faults.refuse()
    return _keep(brought, number, by, at)


def _check_number(number: str, faults: Faults) -> None:
    if number and not NUMBER.fullmatch(number):
        faults.add(
            "number",
            f"'{number}' cannot stand in an address",
            "use letters, digits, dashes and dots, like J-1042",
        )
    elif number and Job.objects.filter(number=number).exists():
        faults.add("number", f"there is a job {number} already", "use another, or leave it out")
    if TOO_HIGH.fullmatch(number):
        faults.add("number", f"{number} is too high to count on from", "leave it out to have it numbered")


def _check_customer(raw: Any, brought: JobIn, faults: Faults) -> None:
    """A job that is kept has a customer; a known number under another name may be a slip of the pen."""
    if raw.get("customer") is None:
        faults.add("customer", "is missing", "give at least its name")
    elif TOO_HIGH.fullmatch(brought.customer.number):
        faults.add("customer, number", "is too high to count on from", "leave it out to have it numbered")
    elif brought.customer.number:
        known = Customer.objects.filter(number=brought.customer.number).first()
        if known is not None and known.name != brought.customer.name:
            faults.add(
                "customer, name",
                f"customer {known.number} is {known.name}, not {brought.customer.name}",
                "give the name as it is on record, or leave the number out for a new customer",
            )


def _keep(brought: JobIn, number: str, by: By, at: datetime) -> Job:
    try:
        with transaction.atomic():
            return keep_job(brought, by=by, at=at, number=number)
    except IntegrityError as error:
        raise Refused.single("job", refusal(error), "look what is there, then repeat") from error
