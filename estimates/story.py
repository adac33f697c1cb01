"""The whole job of the demonstration in twelve lines, from the complaint to the closing statement.

It is really carried out, by the actions that pages and API call, in a transaction that is rolled back at the
end: nothing of it stays, and it can be told as often as anybody likes.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.service_cards import ServiceBook
from estimates.actions import By, keep_job, save_finding, save_reading
from estimates.agreed import agreed_on
from estimates.bench import Minutes, rows_of, write_minutes
from estimates.builder import Built, build_for
from estimates.closing import close
from estimates.decisions import decide, offered
from estimates.demo import JOB_FILE
from estimates.issuing import issue
from estimates.jobfile import read_job_file
from estimates.models import IssuedEstimate, Job, LaterItem
from estimates.next_tests import advised
from estimates.ordering import OrderLine, order
from estimates.purchases import purchase_list
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.entry import finding_entry, reading_entry
from estimates.rules.plan import places_in_words
from shop.rules.currency import format_money
from shop.rules.entry import Faults

NAME = "Ida Tollgarth"
DIRECT = "glow-resistance-direct"
AFTER = {"test_point": "glow-resistance-connector", "position": "3", "temperature": "20", "phase": "after"}


def story(at: datetime, *, by: By) -> list[str]:
    """The lines, on the demonstration's catalogue and workshop. PdfUnavailable where no PDF can be made."""
    with transaction.atomic():
        lines = list(_told(at, by))
        transaction.set_rollback(True)
    return lines


def _told(at: datetime, by: By) -> Iterator[str]:
    intake, book = read_job_file(JOB_FILE, at.date())
    first = [one for one in intake.readings if one.test_point != DIRECT]
    direct = [one for one in intake.readings if one.test_point == DIRECT]
    job = keep_job(replace(intake, readings=tuple(first), judged=()), by=by, at=at)
    yield f"complaint    {intake.complaint.partition(',')[0]}"
    built = build_for(job, at.date())
    yield f"readings     {_readings(built)}"
    yield f"suspects     {_suspects(built)}"
    yield f"next test    {_next_test(built)}"
    for reading in direct:
        save_reading(job, reading, by=by, at=at)
    for judged in intake.judged:
        save_finding(job, judged, by=by, at=at)
    built = build_for(_again(job), at.date())
    yield f"findings     {_findings(built)}"
    yield f"plan         {_plan(built)}"
    yield f"totals       {_totals(built)}"
    estimate = issue(_again(job), by=by, at=at)
    yield f"decision     {_decision(estimate, at, by)}"
    _further(job, book, at, by)
    estimate = issue(_again(job), by=by, at=at)
    yield f"revision     {_revision(estimate)}"
    yield f"decision     {_decision(estimate, at, by)}"
    yield f"work         {_work(job, book, at, by)}"
    yield f"closing      {_closing(job, at, by)}"


def _again(job: Job) -> Job:
    return Job.objects.select_related("unit__customer", "unit__family").get(pk=job.pk)


def _money(amount: Decimal | str, currency: str) -> str:
    return format_money(Decimal(amount), currency)


def _readings(built: Built) -> str:
    judged = built.assessment.readings
    bad = [one for one in judged if one.judgement.outcome == "bad"]
    first = bad[0]
    card = built.book.test_points[first.reading.test_point]
    where = places_in_words((first.reading.place,))
    return f"{len(judged)} taken; bad: {card.name}, {where}, {first.reading.shown}"


def _suspects(built: Built) -> str:
    diagnosis = built.assessment.diagnosis
    told = []
    for found in built.assessment.findings:
        chance = diagnosis.chance(ComponentAt(found.component, found.position.code))
        told.append(f"{found.name}, {found.position.label} ({round(100 * chance)} %)")
    return "; ".join(told)


def _next_test(built: Built) -> str:
    found = advised(built.job, built.book, built.assessment, built.terms, built.plan)
    best = found.advice.tests[0]
    _, price = found.adds(best)
    where = places_in_words((best.place,))
    settled = " or ".join(_named(outcome.confirmed, built) for outcome in (best.good, best.bad))
    more = _money(price, built.terms.currency)
    return f"{best.card.name}, {where}: {best.minutes} min, {more}; then it is {settled}"


def _named(confirmed: Iterable[ComponentAt], built: Built) -> str:
    return " and ".join(f"the {built.book.components[one.component].name}" for one in confirmed)


def _findings(built: Built) -> str:
    return "; ".join(
        f"{found.standing}: {found.name}, {found.position.label}" for found in built.assessment.findings
    )


def _plan(built: Built) -> str:
    priced, buying = built.priced, built.bought.buying
    firm = [one.item.title for one in priced.group("firm") if not one.item.done and one.item.tasks]
    suppliers = sorted({one.source.offer.supplier_name for one in buying.purchase.taken})
    return (
        f"{', '.join(firm)}; {priced.labour.minutes} min, shared teardown counted once "
        f"({priced.labour.apart} apart); parts from {' and '.join(suppliers)}"
    )


def _totals(built: Built) -> str:
    priced = built.priced
    firm, ceiling, options = (
        _money(totals.with_tax, built.terms.currency)
        for totals in (priced.firm, priced.ceiling, priced.options)
    )
    return f"firm {firm}; not above {ceiling}; with every option {options}"


def _decision(estimate: IssuedEstimate, at: datetime, by: By) -> str:
    """Everything firm and whatever may be found with it; no option."""
    offer = offered(estimate)
    wanted = {item.key for item in offer.items if item.group != "optional"}
    wanted -= {item.key for item in offer.not_arising(wanted)}
    row = decide(estimate, wanted, name=NAME, way="desk", at=at, by=by, sha256=estimate.sha256)
    declined = [item.title for item in offer.items if item.key not in wanted]
    waiting = LaterItem.objects.filter(unit=estimate.job.unit_id, settled="").count()
    firm, most = (_money(total, estimate.currency) for total in (estimate.firm_total, row.authorised_total))
    return (
        f"{NAME}: yes to {firm}, up to {most} if found; no to {len(declined)} options, and {waiting} wait on "
        "the machine's record"
    )


def _further(job: Job, book: ServiceBook, at: datetime, by: By) -> None:
    """On opening, something more is found."""
    faults = Faults()
    raw = {
        "component": "harness-lead", "position": "3", "standing": "confirmed",
        "reason": "insulation of the lead cracked where it was pried off",
    }  # fmt: skip
    judged = finding_entry(raw, "finding", book, faults)
    faults.refuse()
    assert judged is not None
    save_finding(_again(job), judged, by=by, at=at)


def _revision(estimate: IssuedEstimate) -> str:
    changes: dict[str, Any] = json.loads(estimate.document)["changes"]
    told = [f"{one['what']}: {one['title']}" for one in changes["items"] if one["what"] != "changed"]
    others = len(changes["items"]) - len(told)
    before, now = (_money(changes["totals"][0][when], estimate.currency) for when in ("before", "now"))
    return f"{'; '.join(told)}; {others} others change, sharing its teardown; firm {before} -> {now}"


def _work(job: Job, book: ServiceBook, at: datetime, by: By) -> str:
    """Everything to buy is ordered, and the work takes a few minutes longer than estimated."""
    agreed = agreed_on(job)
    assert agreed is not None
    bought = purchase_list(agreed, [], at.date())
    ordered = 0
    for one in bought.lists:
        lines = []
        for line in one.lines:
            detail = bought.details[one.supplier, line.part]
            if line.to_order and detail.part is not None and line.unit_cost is not None:
                lines.append(OrderLine(detail.part, line.to_order, line.unit_cost))
        if lines:
            supplier = bought.suppliers[one.supplier] if one.supplier else None
            order(_again(job), supplier, lines, by=by, at=at, estimate=agreed)
            ordered += len(lines)
    rows = [row for row in rows_of(agreed, book, []) if row.item not in agreed.if_found]
    given = [Minutes(row.key, row.estimated + (4 if number == 0 else 0)) for number, row in enumerate(rows)]
    write_minutes(_again(job), given, rows, by=by, at=at)
    faults = Faults()
    meter = json.loads(JOB_FILE.read_text(encoding="utf-8"))["meter"]
    reading = reading_entry({**AFTER, "value": "0.98", **meter}, "reading", book, faults)
    faults.refuse()
    assert reading is not None
    save_reading(_again(job), reading, by=by, at=at)
    return f"{ordered} parts ordered; cylinder {reading.place.code} reads {reading.shown} after the repair"


def _closing(job: Job, at: datetime, by: By) -> str:
    row = close(_again(job), by=by, at=at)
    said: dict[str, Any] = json.loads(row.document)
    shop, currency = said["shop"], said["currency"]
    more = f"{shop['actual']} min taken against {shop['estimated']}, worth {_money(shop['money'], currency)}"
    return f"{_money(row.total, currency)} as agreed; {more} to the shop alone"
