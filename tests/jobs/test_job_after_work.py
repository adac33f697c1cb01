"""After the decision: orders, what came, what the work took, and the statement that closes the job."""

import hashlib
import html
import io
import json
from dataclasses import replace
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal

import pikepdf
import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from catalog.models import Offer, Part, Stock, Supplier
from estimates.actions import save_reading
from estimates.agreed import agreed_on
from estimates.bench import (
    Minutes,
    Used,
    parts_of,
    rows_of,
    times_of,
    work_beside,
    write_minutes,
    write_parts,
)
from estimates.builder import book_of, build_for
from estimates.closing import check_closable, close, statement
from estimates.decisions import decide
from estimates.documents.purchase_list import purchase_content, purchase_csv, purchase_html, purchase_pdf
from estimates.history import history
from estimates.issuing import issue
from estimates.models import Closing, Job, PurchaseLine
from estimates.ordering import Came, OrderLine, order, receive
from estimates.purchases import awaited, orders_of, purchase_list
from estimates.queries import job_in, the_workshop
from shop.models import Event
from shop.rules.entry import Faults
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db


def refreshed(job):
    return Job.objects.select_related("unit__customer", "unit__family").get(pk=job.pk)


@pytest.fixture
def now():
    return timezone.localtime()


@pytest.fixture
def decided(job, writer, now):
    return agree(job, writer, now)


def agree(job, writer, now):
    """The demonstration's job, issued, and agreed to with the first contingent item beside the firm ones."""
    row = issue(refreshed(job), by=writer, at=now)
    document = json.loads(row.document)
    firm = [one["key"] for one in document["groups"]["firm"] if not one["done"] and one["key"] != "access"]
    sheet = {one["key"]: one for one in document["sheet"]["items"]}
    first = next(
        one["key"]
        for one in document["groups"]["contingent"]
        if not sheet[one["key"]]["parents"] or set(sheet[one["key"]]["parents"]) & set(firm)
    )
    decide(row, [*firm, first], name="M. Harrow", way="desk", at=now, sha256=row.sha256, by=writer)
    return refreshed(job)


def wanted_by(job, today):
    return purchase_list(agreed_on(job), orders_of(job), today)


def lines_for(one, wanted, today):
    found = []
    for line in one.lines:
        detail = wanted.details[one.supplier, line.part]
        if line.to_order:
            pieces = detail.orderable(line.to_order)
            found.append(
                OrderLine(detail.part, pieces, line.unit_cost, expected_on=detail.expected_on(today))
            )
    return found


def order_everything(job, writer, now):
    made, wanted = [], wanted_by(job, now.date())
    for one in wanted.lists:
        lines = lines_for(one, wanted, now.date()) if one.supplier else []
        if lines:
            supplier = Supplier.objects.get(code=one.supplier)
            made.append(order(refreshed(job), supplier, lines, by=writer, at=now, estimate=agreed_on(job)))
    return made


def test_the_list_is_the_agreed_parts_and_what_is_only_if_found_is_not_to_be_ordered(decided, now):
    agreed = agreed_on(decided)
    wanted = wanted_by(decided, now.date())
    lines = [line for one in wanted.lists for line in one.lines]
    firm = agreed.estimate.lines.filter(group="firm").exclude(part_number="").exclude(kind="deposit")
    assert sum(line.quantity for line in lines) == sum(int(line.quantity) for line in firm)
    assert all(line.to_order == line.quantity for line in lines)
    # What was not agreed to is not on it at all.
    left_out = {one["key"] for one in agreed.document["groups"]["optional"]}
    assert not left_out & agreed.keys


def test_while_nothing_is_decided_the_firm_items_stand_in_and_nothing_is_ordered(job, writer, now):
    assert agreed_on(job) is None
    issue(refreshed(job), by=writer, at=now)
    agreed = agreed_on(job)
    assert not agreed.decided
    wanted = wanted_by(job, now.date())
    document = purchase_content(job, the_workshop(), agreed, wanted, [], now.date())
    assert "Not decided yet" in purchase_html(document)
    one = next(one for one in wanted.lists if one.supplier)
    with pytest.raises(Refused, match="nothing is authorised yet"):
        order(
            refreshed(job),
            Supplier.objects.get(code=one.supplier),
            lines_for(one, wanted, now.date()),
            by=writer,
            at=now,
        )


def test_parts_come_in_part_too_many_are_refused_and_a_wrong_one_stays_missing(decided, writer, now):
    made = order_everything(decided, writer, now)
    assert made
    assert not any(line.to_order for one in wanted_by(decided, now.date()).lists for line in one.lines)
    line = max((line for one in orders_of(decided) for line in one.lines.all()), key=lambda one: one.quantity)
    assert line.quantity > 1, "the demonstration orders several pieces of one part"
    receive(decided, [Came(line.pk, 1)], by=writer, at=now)
    receive(decided, [Came(line.pk, 1, "the connector is another")], by=writer, at=now)
    fresh = next(one for o in orders_of(decided) for one in o.lines.all() if one.pk == line.pk)
    assert awaited(fresh).missing == line.quantity - 1
    late = fresh.expected_on + timedelta(days=3)
    assert awaited(fresh).overdue(late) == 3
    with pytest.raises(Refused, match=f"{line.quantity} came, and {line.quantity - 1}"):
        receive(decided, [Came(line.pk, line.quantity)], by=writer, at=now)
    with pytest.raises(Refused, match="no line"):
        receive(decided, [Came(0, 1)], by=writer, at=now)
    assert Event.objects.filter(what="parts-received", subject=decided.number).count() == 2


def test_what_lies_on_the_shelf_is_taken_from_it_and_is_there_at_once(decided, writer, now):
    wanted = wanted_by(decided, now.date())
    part = next(iter(wanted.pieces.values()))[0]
    Stock.objects.update_or_create(
        part=part, defaults={"quantity": 2, "unit_cost": Decimal(7), "currency": "EUR"}
    )
    with pytest.raises(Refused, match="3 are wanted, and 2 lie on the shelf"):
        order(decided, None, [OrderLine(part, 3, Decimal(7))], by=writer, at=now)
    order(decided, None, [OrderLine(part, 1, Decimal(7))], by=writer, at=now)
    assert Stock.objects.get(part=part).quantity == 1
    assert awaited(PurchaseLine.objects.prefetch_related("receipts").get(part=part)).missing == 0


def test_an_order_of_nothing_twice_or_from_a_blocked_supplier_is_refused(decided, writer, now):
    supplier = Supplier.objects.first()
    part = next(iter(wanted_by(decided, now.date()).pieces.values()))[0]
    line = OrderLine(part, 1, Decimal(1))
    for lines, words in (([], "has no parts"), ([line, line], "is in it twice")):
        with pytest.raises(Refused, match=words):
            order(decided, supplier, lines, by=writer, at=now)
    supplier.blocked = True
    with pytest.raises(Refused, match="is blocked"):
        order(decided, supplier, [line], by=writer, at=now)


def test_the_list_goes_on_paper_by_supplier_and_into_a_table(decided, now):
    wanted = wanted_by(decided, now.date())
    document = purchase_content(decided, the_workshop(), agreed_on(decided), wanted, [], now.date())
    suppliers = [one for one in document["suppliers"] if any(line["to_order"] for line in one["lines"])]
    suppliers.append({**suppliers[0], "supplier": "yard", "name": "Yard & Sons"})
    document["suppliers"] = suppliers
    assert len(pikepdf.open(io.BytesIO(purchase_pdf(document))).pages) == len(suppliers) > 1
    pages = purchase_html(document).split('<section class="order">')[1:]
    for one, page in zip(suppliers, pages, strict=True):
        assert one["name"] in html.unescape(page) or one["supplier"] is None
        assert all(line["label"] in html.unescape(page) for line in one["lines"] if line["to_order"])
    rows = purchase_csv(document).splitlines()
    assert len(rows) == 1 + sum(len(one["lines"]) for one in document["suppliers"])


# The bench


def test_minutes_are_written_corrected_and_taken_off(decided, writer, now):
    book = book_of(decided.unit.family.code)
    rows = rows_of(agreed_on(decided), book, [])
    assert sum(row.estimated for row in rows) > 0
    step = next(row for row in rows if row.teardown)
    for minutes in (41, 44, None):
        write_minutes(decided, [Minutes(step.key, minutes, "bolts corroded")], rows, by=writer, at=now)
        taken = {time.work: (time.minutes, time.estimated, time.code) for time in times_of(decided)}
        expected = {} if minutes is None else {step.key: (minutes, step.estimated, step.code)}
        assert taken == expected
    with pytest.raises(Refused, match="no such work"):
        write_minutes(decided, [Minutes("nothing@1", 4)], rows, by=writer, at=now)


def test_work_and_parts_beside_the_estimate_are_written_down_as_such(decided, writer, now):
    book = book_of(decided.unit.family.code)
    operation = next(one for one in book.operations.values() if one.scope == "engine")
    row = work_beside(book, f"{operation.code}@engine", Faults())
    write_minutes(decided, [Minutes(row.key, 12)], [row], by=writer, at=now)
    (time,) = times_of(decided)
    assert (time.estimated, time.code) == (0, operation.code)
    faults = Faults()
    assert work_beside(book, f"{operation.code}@99", faults) is None
    assert work_beside(book, "nothing@engine", faults) is None
    assert len(faults) == 2
    part = next(iter(wanted_by(decided, now.date()).pieces.values()))[0]
    write_parts(decided, [Used("", part, 1, "seized")], by=writer, at=now)
    assert [one.quantity for one in parts_of(decided)] == [1]
    write_parts(decided, [Used("", part, None)], by=writer, at=now)
    assert parts_of(decided) == []


# Closing


def take_after(job, writer, now, *, good):
    """The bad reading of the demonstration again, after the repair."""
    brought = job_in(job, book_of(job.unit.family.code).family)
    bad = next(one for one in brought.readings if one.measured.kind == "open")
    fine = next(
        one for one in brought.readings if one.test_point == bad.test_point and one.measured.kind == "number"
    )
    again = replace(fine, place=bad.place, phase="after") if good else replace(bad, phase="after")
    save_reading(job, again, by=writer, at=now)


def fill_in(job, writer, now, longer=0):
    book = book_of(job.unit.family.code)
    rows = rows_of(agreed_on(job), book, [])
    given = [Minutes(row.key, row.estimated + longer) for row in rows]
    write_minutes(refreshed(job), given, rows, by=writer, at=now)
    return rows


def test_a_closed_job_is_frozen_bills_the_accepted_price_and_takes_no_more_changes(decided, writer, now):
    agreed = agreed_on(decided)
    take_after(decided, writer, now, good=True)
    rows = fill_in(decided, writer, now, longer=5)
    row = close(refreshed(decided), by=writer, at=now)
    document = json.loads(row.document)
    # The firm price stays firm: the contingent item did not turn out so, and the minutes are the shop's own.
    firm = document["price"]
    assert Decimal(firm["with_tax"]) == agreed.choice(frozenset()).agreed
    assert Decimal(firm["with_tax"]) == agreed.estimate.firm_total
    assert sum(Decimal(one["price"]) for one in document["items"]) + Decimal(firm["together"]) == Decimal(
        firm["without_tax"]
    )
    assert [one["why"] for one in document["not_done"]].count("not found to be needed") == 1
    counted = [one for one in rows if one.item not in agreed.if_found]
    assert document["shop"]["difference"] == 5 * len(counted)
    assert hashlib.sha256(row.document.encode()).hexdigest() == row.sha256
    assert hashlib.sha256(bytes(row.pdf)).hexdigest() == row.pdf_sha256
    closed, some_part = refreshed(decided), Part.objects.first()
    for write in (
        lambda: take_after(closed, writer, now, good=True),
        lambda: write_minutes(closed, [Minutes(rows[0].key, 1)], rows, by=writer, at=now),
        lambda: write_parts(closed, [], by=writer, at=now),
        lambda: order(closed, None, [OrderLine(some_part, 1, Decimal(1))], by=writer, at=now),
        lambda: receive(closed, [Came(1, 1)], by=writer, at=now),
        lambda: issue(closed, by=writer, at=now),
        lambda: close(closed, by=writer, at=now),
    ):
        with pytest.raises(Refused, match="is closed"):
            write()
    with pytest.raises(DatabaseError), transaction.atomic():
        Closing.objects.filter(pk=row.pk).update(total=0)


def test_what_was_agreed_to_only_if_found_is_billed_where_it_was(decided, writer, now):
    agreed = agreed_on(decided)
    (key,) = agreed.if_found
    row = close(decided, by=writer, at=now, arisen=[key])
    assert Decimal(json.loads(row.document)["price"]["with_tax"]) == agreed.decision.authorised_total


def test_a_bad_reading_after_the_repair_keeps_it_open_until_a_note_says_why(decided, writer, now):
    take_after(decided, writer, now, good=False)
    with pytest.raises(Refused, match="after the repair: is bad"):
        close(refreshed(decided), by=writer, at=now)
    row = close(refreshed(decided), by=writer, at=now, note="The customer wants it back as it is.")
    assert json.loads(row.document)["note"] == "The customer wants it back as it is."


def test_a_job_is_not_closed_while_its_estimate_waits_for_a_decision(job, writer, now):
    issue(refreshed(job), by=writer, at=now)
    with pytest.raises(Refused, match="is not decided on"):
        close(refreshed(job), by=writer, at=now)


def test_a_job_without_an_estimate_or_with_everything_declined_closes_with_what_was_done(job, writer, now):
    row = issue(refreshed(job), by=writer, at=now)
    decide(row, [], name="M. Harrow", way="desk", at=now, sha256=row.sha256, by=writer)
    closed = close(refreshed(job), by=writer, at=now)
    assert all(one["done_before"] or one["key"] == "access" for one in json.loads(closed.document)["items"])


def test_old_parts_that_came_back_are_credited_with_their_tax(job, writer, now):
    Offer.objects.update(deposit=Decimal("4.00"))
    decided = agree(job, writer, now)
    agreed = agreed_on(decided)
    built = build_for(decided, now.date())
    said = statement(decided, built, now.date(), agreed=agreed, times=[], parts=[])
    one = said["deposits"][0]
    for pieces, refused in ((one["pieces"], False), (one["pieces"] + 1, True), (-1, True)):
        if refused:
            with pytest.raises(Refused, match="came back"):
                check_closable(decided, built, now.date(), agreed=agreed, returned={one["key"]: pieces})
        else:
            check_closable(decided, built, now.date(), agreed=agreed, returned={one["key"]: pieces})
    row = close(decided, by=writer, at=now, returned={one["key"]: one["pieces"]})
    document = json.loads(row.document)
    net = Decimal(one["each"]) * one["pieces"]
    assert Decimal(document["returned"]["without_tax"]) == net
    # One rate on deposits in the demonstration's workshop, worked out here once more.
    (percent,) = {Decimal(part["percent"]) for part in document["price"]["tax"]}
    taxed = (net * (100 + percent) / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert Decimal(document["returned"]["with_tax"]) == (taxed if one["tax"] else net)
    assert row.total == Decimal(document["price"]["with_tax"]) - Decimal(document["returned"]["with_tax"])


def test_the_history_proposes_and_changes_nothing(decided, writer, now):
    rows = fill_in(decided, writer, now, longer=7)
    assert history() == [], "only closed jobs count"
    close(refreshed(decided), by=writer, at=now)
    found = history(fewest=1)
    assert {one.code for one in found} <= {
        row.code.removeprefix("further:").removeprefix("test:") for row in rows
    }
    with_more = [one for one in found if one.taken.count and one.proposal]
    assert with_more
    for one in with_more:
        assert one.proposal.minutes > one.stated
    assert all(one.proposal is None for one in history(fewest=1000))
    with CaptureQueriesContext(connection) as statements:
        history(fewest=2)
    assert len(statements) == 4
