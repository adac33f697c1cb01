"""The life of an estimate: given out by a private link, decided on, overrun, revised, remembered."""

import hashlib
import json
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from estimates.actions import delete_finding, open_job, save_finding
from estimates.builder import book_of, build_for
from estimates.closing import close
from estimates.decisions import decide, offered
from estimates.documents.receipt import receipt_html
from estimates.issuing import issue
from estimates.later import give_up, places_of, settle_done, take_in, waiting
from estimates.links import make_link, revoke_link
from estimates.models import CustomerLink, DecidedItem, Decision, Finding, IssuedEstimate, LaterItem
from estimates.overrun import check_may_go_on, may_go_on
from estimates.rules.intake import JudgedIn
from shop.models import Event, Workshop
from shop.rules.errors import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]
FIRM, EXTRACT, THREAD = "glow-plug-replace", "glow-plug-extract@3", "glow-thread-repair@3"
BELT, CLIPS = "belt-replace@engine", "damaged:harness-retainer@A"


@pytest.fixture(autouse=True)
def _no_visits_before():
    from django.core.cache import cache

    cache.clear()


@pytest.fixture
def issued(job, writer):
    return issue(job, by=writer, at=timezone.localtime())


def at_desk(estimate, *accepted, name="Odo Tollgarth", **given):
    told = {"way": "desk", "at": timezone.localtime(), "sha256": estimate.sha256, **given}
    row = IssuedEstimate.objects.select_related("replaced_by").get(pk=estimate.pk)
    return decide(row, accepted, name=name, **told)


def found(job, component, place, standing, reason, writer):
    positions = {position.code: position for position in book_of(job.unit.family.code).family.positions}
    judged = JudgedIn(component, positions[place], standing, 1, reason)
    save_finding(job, judged, by=writer, at=timezone.localtime())


# The private link


def test_a_customer_decides_through_the_link_without_signing_in(issued, writer):
    link, secret = make_link(issued, by=writer, at=timezone.localtime())
    # 256 bits of secret, of which only the SHA-256 is on record
    assert len(secret) >= 43
    assert link.digest == hashlib.sha256(secret.encode()).hexdigest()
    assert not any(secret in str(row) for row in (*Event.objects.values(), *CustomerLink.objects.values()))
    client, address = Client(enforce_csrf_checks=True), f"/your-estimate/{secret}/"
    page = client.get(address)
    assert page.status_code == 200
    headers = (page["Cache-Control"], page["Referrer-Policy"], page["X-Robots-Tag"])
    assert headers == ("no-store, private", "no-referrer", "noindex, nofollow")
    assert not re.search(r"<script>|style=|onclick", page.content.decode())
    # a tick is answered with the exact sum, live or as a whole page
    ticked = {"accept": [FIRM, EXTRACT]}
    expected = offered(issued).choose(ticked["accept"])
    assert expected.sure < expected.agreed < expected.ceiling
    for headers in ({"HX-Request": "true"}, {}):
        answer = client.post(f"{address}total/", ticked, headers=headers).content.decode()
        assert all(f"{one}\u00a0EUR" in answer for one in (expected.sure, expected.agreed, expected.ceiling))
        assert ("<html" in answer) == (not headers)
    assert not Decision.objects.exists()
    # refused with words: no name; something that cannot come up
    for wrong in (
        {**ticked},
        {"accept": [FIRM, THREAD], "name": "Odo"},
        {**ticked, "name": "Odo", "sha256": "0"},
    ):
        assert client.post(address, {"sha256": issued.sha256, **wrong}).status_code == 422
    assert not Decision.objects.exists()
    sent = client.post(address, {**ticked, "sha256": issued.sha256, "name": " Odo  Tollgarth "})
    assert sent.status_code == 302
    decision = Decision.objects.get()
    assert (decision.name, decision.way, decision.sha256) == ("Odo Tollgarth", "link", issued.sha256)
    assert (decision.authorised_total, decision.ceiling_total) == (expected.agreed, expected.ceiling)
    items = dict(decision.items.values_list("item", "accepted"))
    assert items == {FIRM: True, EXTRACT: True, THREAD: False, BELT: False, CLIPS: False}
    event = Event.objects.filter(what="estimate-decided").get()
    assert (event.by, event.detail["sha256"]) == (None, issued.sha256)
    page = client.get(address).content.decode()
    assert "Odo Tollgarth" in page
    assert "Accepted" in page
    receipt = client.get(f"{address}decision.pdf")
    assert receipt.content.startswith(b"%PDF-")
    assert issued.sha256 in receipt_html(decision)
    assert client.get(f"{address}estimate.pdf").content == bytes(
        issued.files.get(name__endswith="pdf").content
    )
    # no cost, no supplier, no cookie
    line = issued.lines.exclude(supplier="").first()
    assert line.supplier not in page
    assert not client.cookies
    assert client.get("/your-estimate/guess/").status_code == 404
    revoke_link(link, by=writer, at=timezone.localtime())
    assert client.get(address).status_code == 404


@pytest.mark.databases("sqlite")
def test_too_many_visits_from_one_address_have_to_wait(db):
    client = Client()
    statuses = [client.get("/your-estimate/guess/").status_code for _ in range(121)]
    assert statuses == [404] * 120 + [429]


def test_an_estimate_that_expired_or_was_replaced_cannot_be_decided_on_and_says_so(job, writer):
    now = timezone.localtime()
    old = issue(job, by=writer, at=now - timedelta(days=31))
    _, secret = make_link(old, by=writer, at=now - timedelta(days=31))
    at_desk(old, FIRM, at=now - timedelta(days=1))  # its last day
    with pytest.raises(Refused, match="expired on"):
        at_desk(old, FIRM)
    page = Client().get(f"/your-estimate/{secret}/")
    assert (page.status_code, "expired on" in page.content.decode()) == (410, True)
    new = issue(job, by=writer, at=now)
    with pytest.raises(Refused, match="was replaced by revision 2; decide on revision 2"):
        at_desk(old, FIRM, at=now - timedelta(days=1))
    assert "replaced by revision 2" in Client().get(f"/your-estimate/{secret}/").content.decode()
    assert at_desk(new).authorised_total == offered(new).choose([]).agreed > 0  # the tests carried out
    assert Decision.objects.count() == 2


def test_the_database_refuses_to_change_or_delete_a_decision(issued):
    decision = at_desk(issued, FIRM)
    for write in (
        lambda: Decision.objects.filter(pk=decision.pk).update(name="other"),
        lambda: DecidedItem.objects.update(accepted=True),
        lambda: DecidedItem.objects.all()._raw_delete("default"),
    ):
        with pytest.raises(DatabaseError, match="never change"), transaction.atomic():
            write()


# Overrun, revision, decision again


def test_work_beyond_what_was_authorised_waits_until_the_customer_decided_again(job, writer, issued):
    assert (may_go_on(job).ok, "nothing is authorised yet" in may_go_on(job).reason) == (False, True)
    at_desk(issued, FIRM, EXTRACT, CLIPS)
    within = may_go_on(job)
    assert within.ok
    # what may be found counts from when it is found
    assert within.comparison.total == offered(issued).choose([FIRM, CLIPS]).agreed
    # a higher rate alone stops nothing: the agreed prices stand
    Workshop.objects.update(labour_rate=Decimal(95))
    dearer = may_go_on(job)
    assert (dearer.ok, dearer.comparison.within) == (True, False)
    Workshop.objects.update(labour_rate=Decimal(92))
    found(job, "drive-belt", "engine", "confirmed", "torn when the cover was off", writer)
    over = may_go_on(job)
    assert not over.ok
    belt = next(i for i in offered(issued).items if i.key == BELT)
    assert (
        over.comparison.over == over.comparison.total - within.comparison.total > belt.adds * Decimal("0.9")
    )
    with pytest.raises(Refused, match="the customer has to decide again"):
        check_may_go_on(job)
    Workshop.objects.update(overrun_rule="amount", overrun_amount=over.comparison.over)
    assert may_go_on(job).ok  # at the limit
    Workshop.objects.update(overrun_amount=over.comparison.over - Decimal("0.01"))
    assert may_go_on(job).comparison.over == Decimal("0.01")
    job.refresh_from_db()
    second = issue(job, by=writer, at=timezone.localtime())
    document = json.loads(second.document)
    told = {item["key"]: item for item in document["changes"]["items"]}
    belt_now = told["belt-replace"]
    assert (belt_now["what"], belt_now["group_before"], belt_now["group_now"]) == (
        "changed",
        "optional",
        "firm",
    )
    assert BELT not in told
    firm = next(total for total in document["changes"]["totals"] if total["name"] == "firm")
    assert Decimal(firm["by"]) == second.firm_total - issued.firm_total
    assert not may_go_on(job).ok
    at_desk(second, FIRM, "belt-replace", EXTRACT, CLIPS)
    assert may_go_on(job).ok
    at_desk(second)
    assert "declined" in may_go_on(job).reason


def test_firm_work_that_was_declined_is_not_counted_as_an_overrun(job, writer, issued):
    at_desk(issued, CLIPS)
    answer = may_go_on(job)
    assert answer.ok
    assert answer.comparison.total == offered(issued).choose([CLIPS]).agreed < issued.firm_total


# Left for later


def test_what_was_left_waits_on_the_machine_and_is_offered_again_with_what_it_saves(job, writer, issued):
    at_desk(issued, FIRM)
    kept = {(row.component.code, row.why): row for row in LaterItem.objects.select_related("component")}
    assert set(kept) == {("drive-belt", "advisory"), ("harness-retainer", "declined")}
    belt = next(i for i in offered(issued).items if i.key == BELT)
    assert kept["drive-belt", "advisory"].adds == belt.adds
    at_desk(issued, FIRM, BELT)  # agreed to after all
    at_desk(issued)
    assert {row.component.code for row in LaterItem.objects.all()} == {
        "drive-belt",
        "harness-retainer",
        "heater",
    }
    now = timezone.localtime()
    again = open_job(job.unit, "smoke again", by=writer, at=now, opened_on=now.date())
    found(again, "heater", "1", "confirmed", "open circuit", writer)
    built = build_for(again, now.date())
    offers = {one.row.component.code: one for one in waiting(again, built, now.date())}
    plug = offers["heater"]
    # Cylinder 3 is on the bank whose cover comes off for cylinder 1: taken apart once instead of twice.
    assert plug.steps
    assert plug.saving == plug.later - plug.now > 0
    assert (offers["drive-belt"].saving, offers["drive-belt"].reached) == (None, False)
    assert (offers["harness-retainer"].saving, offers["harness-retainer"].reached) == (None, True)
    finding = take_in(again, plug.row, built.book.family, by=writer, at=now)
    assert (finding.standing, f"left for later on job {job.number}" in finding.reason) == ("advisory", True)
    with pytest.raises(Refused, match="is a finding on this job already"):
        take_in(again, plug.row, built.book.family, by=writer, at=now)
    taken = build_for(again, now.date())
    item = next(one for one in taken.priced.items if one.item.group == "optional" and one.adds == plug.now)
    assert item.later == plug.later
    again.refresh_from_db()
    second = issue(again, by=writer, at=now)
    places = places_of(json.loads(second.document), [item.item.key])
    assert places == {("heater", "3")}
    settle_done(again, places, by=writer, at=now)
    give_up(again, offers["drive-belt"].row, by=writer, at=now)
    settled = {
        row.component.code: (row.settled, row.settled_by_id) for row in LaterItem.objects.exclude(settled="")
    }
    assert settled == {"heater": ("done", again.pk), "drive-belt": ("dropped", again.pk)}
    assert [one.row.component.code for one in waiting(again, built, now.date())] == ["harness-retainer"]
    delete_finding(again, Finding.objects.get(pk=finding.pk), by=writer, at=now)


def test_closing_a_job_settles_what_it_repaired_and_ends_deciding(job, writer, issued):
    at_desk(issued, FIRM)
    now = timezone.localtime()
    again = open_job(job.unit, "belt squeals", by=writer, at=now, opened_on=now.date())
    found(again, "drive-belt", "engine", "confirmed", "torn", writer)
    again.refresh_from_db()
    second = issue(again, by=writer, at=now)
    at_desk(second, "belt-replace")
    again.refresh_from_db()
    close(again, by=writer, at=now)
    belt = LaterItem.objects.get(component__code="drive-belt")
    assert (belt.settled, belt.settled_by_id) == ("done", again.pk)
    assert LaterItem.objects.get(settled="").component.code == "harness-retainer"
    with pytest.raises(Refused, match="is closed"):
        at_desk(second)


# On the page of the job


def test_the_page_of_the_job_makes_links_records_decisions_and_says_what_changed(job, writer, issued):
    client = Client()
    client.force_login(writer)
    address = f"/jobs/{job.pk}/"
    answer = client.post(f"{address}link/")
    (secret,) = set(re.findall(r"/your-estimate/([\w-]+)/", answer.content.decode()))
    assert answer["Cache-Control"] == "no-store, private"
    assert Client().get(f"/your-estimate/{secret}/").status_code == 200
    assert secret not in client.get(address).content.decode()
    client.post(f"{address}link/end/", {"link": CustomerLink.objects.get().pk})
    assert Client().get(f"/your-estimate/{secret}/").status_code == 404
    wrong = client.post(f"{address}decision/", {"accept": [FIRM], "sha256": issued.sha256, "name": ""})
    assert (wrong.status_code, "type the name of whoever decides" in wrong.content.decode()) == (422, True)
    form = {"accept": [FIRM], "sha256": issued.sha256, "name": "Odo Tollgarth"}
    assert client.post(f"{address}decision/", form).status_code == 302
    page = client.get(address).content.decode()
    assert "The work may go on" in page
    assert "revision 1 accepted" in client.get("/jobs/").content.decode()
    assert "accepted" in page
    assert client.get(f"{address}decision/{Decision.objects.get().pk}.pdf").content.startswith(b"%PDF-")
    found(job, "drive-belt", "engine", "confirmed", "torn when the cover was off", writer)
    page = client.get(address).content.decode()
    assert "Buying and closing are blocked" in page
    assert "What changes against E-J" in page
    belt = LaterItem.objects.get(component__code="drive-belt")
    job.refresh_from_db()
    assert client.post(f"{address}later/", {"drop": belt.pk, "version": job.version - 1}).status_code == 409
    assert client.post(f"{address}later/", {"drop": belt.pk, "version": job.version}).status_code == 302
    belt.refresh_from_db()
    assert belt.settled == "dropped"
