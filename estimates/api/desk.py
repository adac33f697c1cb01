"""A job as the API answers it: what was written down, and what the rules make of it now."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import Http404
from rest_framework import serializers

from catalog.service_cards import ServiceBook
from estimates.api.estimate_rows import EstimateSerializer, estimate_rows
from estimates.api.renderers import PlainJSONRenderer
from estimates.builder import book_of
from estimates.documents.content import finding_content, reading_content
from estimates.forms.unit_facts import built_text
from estimates.models import Job, Reading
from estimates.queries import job_in
from estimates.rules.intake import JobIn
from estimates.rules.judging import Judged, assess
from shop.api.conditional import etag
from shop.api.fields import decimal_text

Json = dict[str, Any]
AT = serializers.DateTimeField()


@dataclass(frozen=True)
class Desk:
    """A job being looked at, with its engine's service data."""

    job: Job
    book: ServiceBook
    brought: JobIn

    def again(self) -> "Desk":
        """As it stands now, after a change."""
        return _desk(_job(self.job.number), self.book)


def desk_for(number: str) -> Desk:
    """The job of this number, or 404."""
    job = _job(number)
    return _desk(job, book_of(job.unit.family.code))


def _job(number: str) -> Job:
    rows = Job.objects.select_related("unit__customer", "unit__family", "writer")
    # PostgreSQL takes no NUL in a text, so no row has it.
    job = None if "\x00" in number else rows.filter(number=number).first()
    if job is None:
        raise Http404(f"There is no job {number!r}.")
    return job


def _desk(job: Job, book: ServiceBook) -> Desk:
    return Desk(job, book, job_in(job, book.family))


def tag_of(answer: Json) -> str:
    """The entity tag of a job: of all that is said of it, its version included."""
    return etag(PlainJSONRenderer().render(answer))


def job_answer(desk: Desk) -> Json:
    """Everything about the job as JSON values. Three statements."""
    job, brought = desk.job, desk.brought
    assessment = assess(desk.book, brought.readings, brought.judged)
    taken = _taken(job)
    return {
        "number": job.number,
        "version": job.version,
        "opened_on": job.opened_on.isoformat(),
        "complaint": job.complaint,
        "writer": job.writer.get_username() if job.writer else None,
        "customer": {
            name: getattr(brought.customer, name) for name in ("number", "name", "address", "email", "phone")
        },
        "unit": _unit(desk),
        "readings": [
            _reading(desk, one, taken[one.reading.key, one.reading.phase])
            for one in assessment.readings
            # One that went between two statements is as good as gone.
            if (one.reading.key, one.reading.phase) in taken
        ],
        "findings": [finding_content(found) for found in assessment.findings],
        "contradictions": [one.reason for one in assessment.diagnosis.contradictions],
        "included": sorted(brought.included),
        "factors": [
            {
                "step": one.step,
                "position": one.place.code if one.place else None,
                "factor": f"{one.by:f}",
                "reason": one.reason,
            }
            for one in brought.factors
        ],
        **_by_hand(brought),
        "estimates": EstimateSerializer(estimate_rows().filter(job=job).order_by("revision"), many=True).data,
    }


def _by_hand(brought: JobIn) -> Json:
    def plain(amount: Decimal | None) -> str | None:
        return None if amount is None else f"{amount:f}"

    return {
        "hand_lines": [
            {
                "key": one.key,
                "group": one.group,
                "category": one.category,
                "text": one.text,
                "reason": one.reason,
                "quantity": plain(one.quantity),
                "unit_price": plain(one.unit_price),
                "unit_cost": plain(one.unit_cost),
            }
            for one in brought.hand_lines
        ],
        "discounts": [
            {
                "item": one.item,
                "percent": plain(one.percent),
                "amount": plain(one.amount),
                "reason": one.reason,
            }
            for one in brought.discounts
        ],
        "payments": [
            {
                "amount": plain(one.amount),
                "received_on": one.received_on.isoformat(),
                "how": one.how,
                "note": one.note,
            }
            for one in brought.payments
        ],
    }


def _unit(desk: Desk) -> Json:
    unit, row = desk.brought.unit, desk.job.unit
    return {
        "number": row.number,
        "name": unit.name,
        "family": unit.family,
        "built": built_text(unit.built),
        "built_from": None if unit.built.earliest is None else unit.built.earliest.isoformat(),
        "built_until": None if unit.built.latest is None else unit.built.latest.isoformat(),
        "serial": unit.serial,
        "options": dict(sorted(unit.options.items())),
        "road_use": unit.road_use,
        "registration": unit.registration,
        "vin": unit.vin,
    }


def _taken(job: Job) -> dict[tuple[str, str], Json]:
    """When and by whom each reading was taken."""
    rows = Reading.objects.filter(job=job).select_related("test_point", "position", "taken_by")
    return {
        (f"{row.test_point.code}@{row.position.code}", row.phase): {
            "taken_at": AT.to_representation(row.taken_at),
            "taken_by": row.taken_by.get_username() if row.taken_by else None,
        }
        for row in rows
    }


def _reading(desk: Desk, one: Judged, taken: Json) -> Json:
    reading, card = one.reading, desk.book.test_points[one.reading.test_point]
    measured = reading.measured
    return {
        "test_point": card.code,
        "name": card.name,
        "phase": reading.phase,
        **reading_content(one),
        "value": None if measured.value is None else f"{measured.value:f}",
        "unit": card.unit,
        "temperature": None if measured.temperature is None else decimal_text(measured.temperature, 0),
        "meter": {
            "zero": decimal_text(measured.zero, 0),
            "accuracy_percent": decimal_text(measured.accuracy_percent, 0),
            "accuracy_counts": measured.accuracy_counts,
            "resolution": decimal_text(measured.resolution, 0),
        },
        **taken,
    }
