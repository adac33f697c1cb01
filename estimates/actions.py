"""Writes that decide something about a job. Each is one transaction and leaves an event behind; a customer or
unit written down on the way is covered by the event of the job it is opened with.

A caller that shows a version of the job passes it as `version`; if somebody else changed the job meanwhile
the write is refused and nothing is lost.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F
from django.db.models.functions import Length

from catalog.models import AccessStep, Component, EngineFamily, EngineOption, Position, TestPoint
from estimates.closed import refuse_closed
from estimates.models import (
    Customer,
    DraftChoice,
    Finding,
    Job,
    JobFactor,
    Purchase,
    Reading,
    Unit,
    UnitOption,
)
from estimates.rules.intake import CustomerIn, FactorIn, JobIn, JudgedIn, ReadingIn, UnitIn
from shop.events import record
from shop.models import Meter, Workshop
from shop.rules.errors import Refused

By = AbstractBaseUser | None
FIRST_NUMBER = 1001


class Changed(Refused):
    """Somebody else changed the job since the caller read it."""


def person(by: By) -> int | None:
    """The key of who did it; None for the system itself."""
    return None if by is None else int(by.pk)


@contextmanager
def _changing(job: Job, version: int | None) -> Iterator[None]:
    """A transaction that counts the job's version up, and refuses where `version` is no longer the latest, or
    where the job is closed."""
    with transaction.atomic():
        rows = Job.objects.filter(pk=job.pk)
        if version is not None:
            rows = rows.filter(version=version)
        if not rows.update(version=F("version") + 1):
            now = Job.objects.filter(pk=job.pk).values_list("version", flat=True).first()
            raise Changed.single(
                f"job {job.number}",
                f"was changed meanwhile (version {now}, not {version})",
                "look again, then repeat",
            )
        refuse_closed(job)
        yield


def next_number(model: type[Customer | Unit | Job | Purchase], prefix: str) -> str:
    """The number after the highest of this prefix, for the transaction under way.

    The workshop's row is held until that transaction ends, so that two people count one after the other. A
    number of nine digits or more was typed, not counted, and is passed over.
    """
    list(Workshop.objects.select_for_update().filter(pk=1))
    counted = model._default_manager.filter(number__regex=rf"^{prefix}[0-9]{{1,8}}$")
    last = counted.order_by(Length("number").desc(), "-number").values_list("number", flat=True).first()
    return f"{prefix}{int(last.removeprefix(prefix)) + 1 if last else FIRST_NUMBER}"


@transaction.atomic
def add_customer(customer: CustomerIn) -> Customer:
    return Customer.objects.create(
        number=customer.number or next_number(Customer, "C"),
        name=customer.name,
        address=customer.address,
        email=customer.email,
        phone=customer.phone,
    )


@transaction.atomic
def add_unit(customer: Customer, unit: UnitIn, number: str = "") -> Unit:
    """A unit with what is known of it, checked when `unit` was made (estimates.rules.unit_entry)."""
    family = EngineFamily.objects.get(code=unit.family)
    row = Unit.objects.create(
        number=number or next_number(Unit, "U"),
        customer=customer,
        name=unit.name,
        family=family,
        registration=unit.registration,
        vin=unit.vin,
        serial=unit.serial,
        built_from=unit.built.earliest,
        built_until=unit.built.latest,
        road_use=unit.road_use,
    )
    _set_options(row, unit.options)
    return row


def _set_options(row: Unit, options: Mapping[str, str]) -> None:
    known = {option.code: option for option in EngineOption.objects.filter(family=row.family_id)}
    UnitOption.objects.filter(unit=row).delete()
    UnitOption.objects.bulk_create(
        UnitOption(unit=row, option=known[code], value=value) for code, value in options.items()
    )


def learn_about_unit(job: Job, unit: UnitIn, *, by: By, at: datetime, version: int | None = None) -> None:
    """Write down what is now known of the job's unit."""
    with _changing(job, version):
        row = Unit.objects.select_for_update().get(pk=job.unit_id)
        row.name, row.registration, row.vin = unit.name, unit.registration, unit.vin
        row.serial, row.road_use = unit.serial, unit.road_use
        row.built_from, row.built_until = unit.built.earliest, unit.built.latest
        row.save()
        _set_options(row, unit.options)
        record("unit-facts", row.number, at=at, by=by, serial=unit.serial, built=unit.built.text)


@transaction.atomic
def open_job(unit: Unit, complaint: str, *, by: By, at: datetime, opened_on: date, number: str = "") -> Job:
    job = Job.objects.create(
        number=number or next_number(Job, "J"),
        unit=unit,
        complaint=complaint,
        opened_on=opened_on,
        writer_id=person(by),
    )
    record("job-opened", job.number, at=at, by=by, unit=unit.number)
    return job


def save_reading(
    job: Job,
    reading: ReadingIn,
    *,
    by: By,
    at: datetime,
    meter: Meter | None = None,
    version: int | None = None,
) -> Reading:
    """Write a reading down; one already taken at this place and phase is replaced, and the event says so."""
    family = job.unit.family_id
    measured = reading.measured
    with _changing(job, version):
        row, new = Reading.objects.update_or_create(
            job=job,
            test_point=TestPoint.objects.get(family=family, code=reading.test_point),
            position=Position.objects.get(family=family, code=reading.place.code),
            phase=reading.phase,
            defaults={
                "kind": measured.kind,
                "value": measured.value,
                "places": _places(measured.value),
                "temperature": measured.temperature,
                "meter": meter,
                "zero": measured.zero,
                "accuracy_percent": measured.accuracy_percent,
                "accuracy_counts": measured.accuracy_counts,
                "resolution": measured.resolution,
                "taken_at": at,
                "taken_by_id": person(by),
            },
        )
        record(
            "reading-taken" if new else "reading-retaken",
            job.number,
            at=at,
            by=by,
            reading=reading.key,
            shown=reading.shown,
        )
    return row


def _places(value: object) -> int:
    exponent = getattr(value, "as_tuple", lambda: None)()
    return max(0, -exponent.exponent) if exponent is not None else 0


def delete_reading(job: Job, reading: Reading, *, by: By, at: datetime, version: int | None = None) -> None:
    with _changing(job, version):
        key = f"{reading.test_point.code}@{reading.position.code}"
        reading.delete()
        record("reading-removed", job.number, at=at, by=by, reading=key)


def save_finding(job: Job, found: JudgedIn, *, by: By, at: datetime, version: int | None = None) -> Finding:
    """Write a person's finding down; one for the same component and place is replaced."""
    family = job.unit.family_id
    with _changing(job, version):
        row, _ = Finding.objects.update_or_create(
            job=job,
            component=Component.objects.get(family=family, code=found.component),
            position=Position.objects.get(family=family, code=found.place.code),
            defaults={
                "standing": found.standing,
                "quantity": found.quantity,
                "reason": found.reason,
                "found_by_id": person(by),
                "found_at": at,
            },
        )
        key = f"{found.component}@{found.place.code}"
        record("finding-made", job.number, at=at, by=by, finding=key, standing=found.standing)
    return row


def delete_finding(job: Job, finding: Finding, *, by: By, at: datetime, version: int | None = None) -> None:
    with _changing(job, version):
        key = f"{finding.component.code}@{finding.position.code}"
        finding.delete()
        record("finding-removed", job.number, at=at, by=by, finding=key)


def save_factor(job: Job, factor: FactorIn, *, by: By, at: datetime, version: int | None = None) -> JobFactor:
    """Write down that teardown takes longer on this job; a factor for the same step and place is replaced."""
    family, place = job.unit.family_id, factor.place
    with _changing(job, version):
        row, _ = JobFactor.objects.update_or_create(
            job=job,
            step=AccessStep.objects.get(family=family, code=factor.step),
            position=None if place is None else Position.objects.get(family=family, code=place.code),
            defaults={"factor": factor.by, "reason": factor.reason},
        )
        times, why = str(factor.by), factor.reason
        record("factor-set", job.number, at=at, by=by, step=_factored(row), factor=times, reason=why)
    return row


def delete_factor(job: Job, factor: JobFactor, *, by: By, at: datetime, version: int | None = None) -> None:
    with _changing(job, version):
        key = _factored(factor)
        factor.delete()
        record("factor-removed", job.number, at=at, by=by, step=key)


def _factored(factor: JobFactor) -> str:
    """The step, and where unless it holds everywhere: "cover@A"."""
    return f"{factor.step.code}@{factor.position.code}" if factor.position else factor.step.code


def choose(job: Job, item: str, included: bool, *, by: By, at: datetime, version: int | None = None) -> None:
    """Take a contingent or optional item into the firm price, or out again."""
    with _changing(job, version):
        DraftChoice.objects.update_or_create(job=job, item=item, defaults={"included": included})
        record("item-taken-in" if included else "item-left-out", job.number, at=at, by=by, item=item)


@transaction.atomic
def keep_job(job: JobIn, *, by: By, at: datetime, number: str = "") -> Job:
    """A job from a file, written down whole: customer, unit, readings, findings, choices, factors, and what
    is set on its price."""
    customer = Customer.objects.filter(number=job.customer.number).first() if job.customer.number else None
    customer = customer or add_customer(job.customer)
    unit = add_unit(customer, job.unit)
    row = open_job(unit, job.complaint, by=by, at=at, opened_on=job.opened_on, number=number)
    for reading in job.readings:
        save_reading(row, reading, by=by, at=at)
    for found in job.judged:
        save_finding(row, found, by=by, at=at)
    for item in sorted(job.included):
        choose(row, item, True, by=by, at=at)
    for factor in job.factors:
        save_factor(row, factor, by=by, at=at)
    from estimates.byhand import keep_by_hand  # it is built on this module

    keep_by_hand(row, job, by=by, at=at)
    row.refresh_from_db()
    return row
