"""Buying, the work, and closing on the page of a job."""

import json
import re

import pytest
from desk import measure_dead_plug, post, read, words
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from floor import lay_out

from catalog.models import AccessStep
from estimates.decisions import decide
from estimates.models import ActualPart, ActualTime, Closing, Job, Purchase, PurchaseLine, Receipt
from shop.models import Workshop

pytestmark = pytest.mark.django_db


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def agreed_job(client: Client) -> Job:
    """Issued for the dead plug, and all its firm work agreed to."""
    job = lay_out().job()
    measure_dead_plug(client, job)
    assert post(client, job, "issue").status_code == 302
    estimate = job.estimates.get()
    firm = json.loads(estimate.document)["groups"]["firm"]
    keys = [one["key"] for one in firm if not one["done"] and one["key"] != "access"]
    decide(estimate, keys, name="M. Reed", way="desk", at=timezone.localtime(), sha256=estimate.sha256)
    return job


def order_form(client: Client, job: Job) -> dict[str, str]:
    """The first supplier's form as the page fills it in."""
    content = client.get(f"/jobs/{job.pk}/").content.decode()
    form = re.search(rf"<form[^>]*/jobs/{job.pk}/order/.*?</form>", content, re.S)
    assert form
    values = {}
    for tag in re.findall(r"<input[^>]*>", form.group()):
        name, value = re.search(r'\bname="([^"]*)"', tag), re.search(r'\bvalue="([^"]*)"', tag)
        values[name.group(1)] = value.group(1) if value else ""
    return {name: value for name, value in values.items() if name not in ("csrfmiddlewaretoken", "version")}


def test_before_anything_is_issued_each_section_says_what_would_bring_it_to_life(colleague: Client):
    job = lay_out().job()
    said = page(colleague, job)
    assert "The purchase list follows from the issued estimate: issue it first." in said
    assert "Minutes and parts are written down here once an estimate is issued." in said
    assert "A job is closed once an estimate was issued and decided on" in said


def test_the_whole_way_from_the_order_to_the_closing_statement(colleague: Client):
    job = agreed_job(colleague)
    given = order_form(colleague, job)
    assert post(colleague, job, "order", **given).status_code == 302
    order = Purchase.objects.get()
    assert {line.part.number for line in order.lines.all()} == {"GX-1042", "RC-31"}
    assert "Still missing: 1 × Orlin" in page(colleague, job)
    line = order.lines.get(part__number="GX-1042")
    too_many = post(colleague, job, "received", **{f"came-{line.pk}": "2"})
    assert too_many.status_code == 422
    assert "2 came, and 1 of 1 are missing" in words(too_many)
    assert 'value="2"' in too_many.content.decode(), "what was typed is still there"
    wrong = {f"came-{line.pk}": "1", f"wrong-{line.pk}": "thread too short"}
    assert post(colleague, job, "received", **wrong).status_code == 302
    assert "1 came wrong: thread too short" in page(colleague, job)
    rest = {f"came-{one.pk}": str(one.quantity) for one in PurchaseLine.objects.all()}
    assert post(colleague, job, "received", **rest).status_code == 302
    assert Receipt.objects.count() == 3
    assert "Everything that was ordered is here." in page(colleague, job)

    minutes = {"min-cover-off@A": "55", "note-cover-off@A": "bolts corroded", "min-plug-replace@3": "18"}
    assert post(colleague, job, "minutes", **minutes).status_code == 302
    assert dict(ActualTime.objects.values_list("work", "minutes")) == {
        "cover-off@A": 55,
        "plug-replace@3": 18,
    }
    refused = post(colleague, job, "minutes", **{"min-cover-off@A": "half an hour"})
    assert refused.status_code == 422
    assert "'half an hour' is not a number" in words(refused)
    beside = {"beside-work": "belt-replace", "beside-place": "engine", "beside-minutes": "20"}
    assert post(colleague, job, "minutes", **beside).status_code == 302
    assert post(colleague, job, "minutes", **{"min-cover-off@A": "50"}).status_code == 302
    assert ActualTime.objects.get(work="cover-off@A").minutes == 50
    assert ActualTime.objects.get(work="belt-replace@engine").estimated == 0
    assert (
        post(colleague, job, "parts", **{"beside-part": "orlin/CL-4", "beside-pieces": "2"}).status_code
        == 302
    )
    assert ActualPart.objects.get().quantity == 2
    unknown = post(colleague, job, "parts", **{"beside-part": "orlin/CL-5", "beside-pieces": "2"})
    assert "there is no part 'orlin/CL-5'" in words(unknown)

    assert read(colleague, job, "at-plug", {"3": "1.60"}, phase="after").status_code == 302
    refused = post(colleague, job, "close")
    assert refused.status_code == 422
    assert "after the repair: is bad" in words(refused)
    assert read(colleague, job, "at-plug", {"3": "0.90"}, phase="after").status_code == 302
    assert post(colleague, job, "close", note="Runs well again.").status_code == 302
    said = page(colleague, job)
    assert "It takes no more changes." in said
    assert "Readings before and after" in said
    pdf = colleague.get(f"/jobs/{job.pk}/closing.pdf")
    assert pdf.content == bytes(Closing.objects.get().pdf)
    late = read(colleague, job, "at-plug", {"3": "0.91"}, phase="after")
    assert late.status_code == 422
    assert "is closed, and its closing statement stands" in words(late)


def test_another_persons_change_keeps_an_order_from_being_written_twice(colleague: Client):
    job = agreed_job(colleague)
    given = order_form(colleague, job)
    job.refresh_from_db()
    assert post(colleague, job, "order", seen=job.version, **given).status_code == 302
    again = post(colleague, job, "order", seen=job.version - 1, **given)
    assert again.status_code == 409
    assert Purchase.objects.count() == 1


def test_the_page_takes_as_many_statements_however_much_was_ordered_and_written(colleague: Client):
    job = agreed_job(colleague)
    given = order_form(colleague, job)
    assert post(colleague, job, "order", **given).status_code == 302
    assert post(colleague, job, "minutes", **{"min-cover-off@A": "55"}).status_code == 302
    line = PurchaseLine.objects.first()
    assert post(colleague, job, "received", **{f"came-{line.pk}": "1"}).status_code == 302
    with CaptureQueriesContext(connection) as few:
        page(colleague, job)
    for minutes in ({"min-plug-replace@3": "18"}, {"min-test:at-plug@3": "5"}):
        assert post(colleague, job, "minutes", **minutes).status_code == 302
    line = PurchaseLine.objects.last()
    assert post(colleague, job, "received", **{f"came-{line.pk}": "1"}).status_code == 302
    with CaptureQueriesContext(connection) as more:
        page(colleague, job)
    assert len(few) == len(more)


def test_the_list_is_handed_out_as_pdf_and_csv_and_not_before_there_is_one(colleague: Client):
    job = agreed_job(colleague)
    pdf = colleague.get(f"/jobs/{job.pk}/purchase-list.pdf")
    assert pdf.content.startswith(b"%PDF")
    rows = colleague.get(f"/jobs/{job.pk}/purchase-list.csv").content.decode().splitlines()
    assert rows[0].startswith("job,estimate,revision,decided,supplier")
    assert any("GX-1042" in row for row in rows)
    assert colleague.get(f"/jobs/{job.pk}/closing.pdf").status_code == 404
    assert colleague.get(f"/jobs/{job.pk}/purchase-list.xml").status_code == 404


def test_the_shops_history_is_shown_with_its_proposals_and_links_to_the_record(owner: Client):
    assert "No job is closed yet" in words(owner.get("/shop/labour-history/"))
    job = agreed_job(owner)
    Workshop.objects.update(history_fewest=2)
    minutes = {"min-cover-off@A": "50", "min-plug-replace@3": "18"}
    assert post(owner, job, "minutes", **minutes).status_code == 302
    assert post(owner, job, "close").status_code == 302
    said = owner.get("/shop/labour-history/")
    assert "not often enough yet" in words(said)
    # As if another job had been closed that took as long.
    twin = Job.objects.create(number="J9", unit=job.unit, complaint="-", opened_on=job.opened_on)
    row = ActualTime.objects.get(work="cover-off@A")
    ActualTime.objects.create(
        job=twin, work=row.work, code=row.code, estimated=40, minutes=52, written_at=row.written_at
    )
    kept = Closing.objects.get()
    Closing.objects.create(
        job=twin, closed_at=kept.closed_at, total=0, document=kept.document, sha256=kept.sha256, pdf=b"",
        pdf_sha256=kept.pdf_sha256,
    )  # fmt: skip
    said = owner.get("/shop/labour-history/")
    assert "51 min" in words(said)
    assert "took 11 min longer than stated" in words(said).lower()
    step = AccessStep.objects.get(code="cover-off")
    assert f"/admin/catalog/accessstep/{step.pk}/change/" in said.content.decode()
    step.refresh_from_db()
    assert step.minutes == 40, "it proposes, and changes nothing"
