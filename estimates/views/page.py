"""The page of a job: everything on it, read in one go, whichever form was just sent.

A form that could not be taken is handed in and shown again as it was typed; everything else on the page is as
the records stand now.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from estimates.builder import Built, build
from estimates.forms.byhand import ByHandForm
from estimates.forms.factors import FactorForm
from estimates.forms.findings import FindingForm
from estimates.forms.readings import ReadingsForm
from estimates.forms.sourcing import SourcingForm
from estimates.forms.unit_facts import UnitFactsForm, as_typed, on_record
from estimates.models import Job, UnitOption
from estimates.queries import job_in
from estimates.views.after_told import after_sections
from estimates.views.byhand_section import by_hand_section
from estimates.views.common import Desk
from estimates.views.deciding import decision_section
from estimates.views.estimate import estimate_section
from estimates.views.next_tests import next_test_section
from estimates.views.sections import findings_made, readings_taken, taken_at, unit_rows, vin_warning
from estimates.views.sourcing_section import sourcing_section
from estimates.views.teardown import teardown_section
from estimates.views.waiting import later_section
from shop.models import Event, Meter
from shop.rules.errors import Fault, Refused

Json = dict[str, Any]
CHANGES = {
    "job-opened": "the job was opened",
    "unit-facts": "what is known of the machine",
    "reading-taken": "a reading was taken",
    "reading-retaken": "a reading was taken again",
    "reading-removed": "a reading was removed",
    "finding-made": "a finding was written down",
    "finding-removed": "a finding was removed",
    "factor-set": "something was said to take longer",
    "factor-removed": "what takes longer was taken back",
    "line-written": "a line was written by hand",
    "line-removed": "a hand-written line was taken off",
    "discount-set": "a discount was given",
    "discount-removed": "a discount was taken off",
    "payment-received": "money was received in advance",
    "payment-given-back": "money was given back",
    "item-taken-in": "an item was taken into the firm price",
    "item-left-out": "an item was left out of the firm price",
    "sourcing-set": "how the parts are bought",
    "parts-ordered": "parts were ordered",
    "parts-received": "parts came",
    "minutes-written": "minutes were written down",
    "parts-used": "parts that were used were written down",
    "job-closed": "the job was closed",
    "later-given-up": "something left for later was given up",
}


def job_page(
    request: HttpRequest,
    desk: Desk,
    *,
    status: int = 200,
    alert: Json | None = None,
    test: str = "",
    unit_form: UnitFactsForm | None = None,
    readings_form: ReadingsForm | None = None,
    finding_form: FindingForm | None = None,
    sourcing_form: SourcingForm | None = None,
    factor_form: FactorForm | None = None,
    by_hand_form: ByHandForm | None = None,
    decided: Json | None = None,
    typed: Mapping[str, str] | None = None,
) -> HttpResponse:
    """The whole page. `test` is the test point whose rows are open for entry; `decided` is what the section
    of the decision takes beside the records, `typed` what a form of the sections after it held."""
    job, book = desk.job, desk.book
    built, faults = try_to_build(desk)
    context: Json = {"job": job, "alert": alert} | estimate_section(desk, built, faults)
    readings = readings_taken(job, context["document"]) if built else []
    if readings_form is None and test in book.test_points:
        readings_form = empty_readings_form(desk, test, taken_at(readings, test))
    options = dict(UnitOption.objects.filter(unit=job.unit_id).values_list("option__code", "value"))
    context |= {
        "unit_rows": unit_rows(job, book.family, options),
        "vin_warning": vin_warning(job),
        "unit_form": unit_form
        or UnitFactsForm(
            initial=as_typed(job.unit, options), family=book.family, on_record=on_record(job.unit)
        ),
        "unit_open": unit_form is not None,
        "tests": sorted((card.name, card.code) for card in book.test_points.values()),
        "readings": readings,
        "readings_form": readings_form,
        "chosen_test": readings_form.card if readings_form else None,
        "findings": findings_made(job, context["document"]) if built else [],
        "finding_form": finding_form or FindingForm(book=book),
        "finding_open": finding_form is not None,
        **next_test_section(built),
        **sourcing_section(desk, built, sourcing_form),
        **teardown_section(desk, built, factor_form),
        **by_hand_section(desk, built, by_hand_form),
        **decision_section(desk, built, context["revisions"], **(decided or {})),
        **later_section(desk, built),
        **after_sections(desk, built, context.get("document"), typed),
    }
    return render(request, "estimates/job.html", context, status=status)


def try_to_build(desk: Desk) -> tuple[Built | None, tuple[Fault, ...]]:
    """The estimate as it stands, or why there is none (a workshop without rates, say)."""
    try:
        return build(job_in(desk.job, desk.book.family), desk.now.date(), book=desk.book), ()
    except Refused as refusal:
        return None, refusal.faults


def all_meters() -> Sequence[Meter]:
    return list(Meter.objects.prefetch_related("ranges"))


def empty_readings_form(desk: Desk, test: str, taken: dict[str, str]) -> ReadingsForm:
    return ReadingsForm(book=desk.book, card=desk.book.test_points[test], meters=all_meters(), taken=taken)


# What could not be done


def not_taken(section: str) -> Json:
    """Something typed in this section cannot be read; the form says what, beside its fields."""
    return {"section": section, "not_taken": True}


def refused(section: str, faults: Iterable[Fault]) -> Json:
    return {"section": section, "faults": list(faults)}


def changed_meanwhile(section: str, job: Job, *, kept: bool = False, wanted: Iterable[str] = ()) -> Json:
    """Somebody else was quicker: who, when and what, as far as it is on record. One statement.

    `kept` says that the form below still holds what was typed; `wanted` names the switches that were on.
    """
    last = Event.objects.filter(subject__in=[job.number, job.unit.number]).select_related("by").first()
    by = (last.by.get_full_name() or last.by.get_username()) if last is not None and last.by else ""
    return {
        "section": section,
        "changed": True,
        "kept": kept,
        "wanted": list(wanted),
        "what": CHANGES.get(last.what, "") if last is not None else "",
        "by": by,
        "at": timezone.localtime(last.at) if last is not None else None,
    }
