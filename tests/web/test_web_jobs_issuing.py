"""Issuing from the page of a job, and the files that come of it."""

import hashlib
import json
import re
from datetime import timedelta

import pytest
from desk import advise_belt, measure_dead_plug, post, version, words
from django.test import Client
from django.utils import timezone
from floor import lay_out

from catalog.models import Offer, PriceFile
from estimates.models import IssuedEstimate, IssuedFile, Job

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_an_empty_job_cannot_be_issued(colleague: Client):
    job = lay_out().job()
    answer = post(colleague, job, "issue")
    assert answer.status_code == 422
    assert "Estimate: has no lines. What helps: enter readings or a finding first." in words(answer)
    assert not IssuedEstimate.objects.exists()


def test_what_cannot_be_priced_is_said_and_keeps_it_from_being_issued(colleague: Client):
    job = lay_out().job()
    Offer.objects.filter(part__number="GX-1042").delete()
    measure_dead_plug(colleague, job)
    assert "It cannot be issued yet." in page(colleague, job)
    assert post(colleague, job, "issue").status_code == 422


def test_a_stale_price_is_named_before_issuing_and_does_not_keep_from_it(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    offer = Offer.objects.select_related("part__brand", "supplier").get(part__number="GX-1042")
    today = timezone.localdate()
    for age, named in ((180, False), (181, True)):
        Offer.objects.filter(pk=offer.pk).update(valid_from=today - timedelta(days=age), valid_until=None)
        told = f"{offer.part.brand.name} GX-1042 from {offer.supplier.name}: {age} days old"
        assert (told in page(colleague, job)) == named
    assert post(colleague, job, "issue").status_code == 302
    PriceFile.objects.create(
        supplier=offer.supplier, name="x", sha256="0", valid_from=today, complete=True, at=timezone.now()
    )
    assert "Stale prices" not in page(colleague, job)


def test_an_issued_estimate_is_offered_as_it_was_kept_byte_for_byte(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    assert post(colleague, job, "issue")["Location"] == f"/jobs/{job.pk}/#issue"
    estimate = IssuedEstimate.objects.get()
    types = {"pdf": "application/pdf", "json": "application/json"}
    for kind, media_type in types.items():
        name = f"{estimate.number}-1.{kind}"
        assert f"/jobs/{job.pk}/issued/{name}" in colleague.get(f"/jobs/{job.pk}/").content.decode()
        answer = colleague.get(f"/jobs/{job.pk}/issued/{name}")
        assert answer["Content-Type"] == media_type
        assert answer["Content-Disposition"] == f'attachment; filename="{name}"'
        kept = IssuedFile.objects.get(name=name)
        assert hashlib.sha256(answer.content).hexdigest() == kept.sha256
    assert json.loads(answer.content)["totals"]["firm"]["with_tax"] == "219.60"


def test_a_file_of_another_job_is_not_served_here(colleague: Client):
    floor = lay_out()
    one, other = floor.job(), floor.job()
    measure_dead_plug(colleague, other)
    post(colleague, other, "issue")
    name = IssuedFile.objects.first().name
    assert colleague.get(f"/jobs/{other.pk}/issued/{name}").status_code == 200
    assert colleague.get(f"/jobs/{one.pk}/issued/{name}").status_code == 404


def test_an_unchanged_draft_says_that_there_is_nothing_new_to_issue(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    post(colleague, job, "issue")
    assert "The draft says the same as revision 1" in page(colleague, job)
    advise_belt(colleague, job)
    assert "The draft differs from revision 1" in page(colleague, job)


def test_a_later_revision_replaces_the_one_before(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    post(colleague, job, "issue")
    advise_belt(colleague, job)
    post(colleague, job, "issue")
    assert f"E-{job.number} revision 1 , replaced by revision 2" in page(colleague, job)


def test_issuing_what_somebody_changed_meanwhile_is_refused(colleague: Client, owner: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    seen = version(job)
    advise_belt(owner, job)
    answer = post(colleague, job, "issue", seen)
    assert answer.status_code == 409
    assert "a finding was written down" in words(answer)
    assert not IssuedEstimate.objects.exists()


def test_the_draft_on_paper_is_a_pdf_of_its_own_name(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    answer = colleague.get(f"/jobs/{job.pk}/draft.pdf")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'attachment; filename="E-{job.number}-draft.pdf"'
    assert answer.content.startswith(b"%PDF-1.7")
    assert not IssuedEstimate.objects.exists()


def test_nothing_typed_can_become_markup(colleague: Client):
    floor = lay_out()
    job = floor.job(name="<script>alert(1)</script>")
    found = {"component": "belt", "position": "engine", "standing": "advisory", "quantity": "1"}
    post(colleague, job, "findings", **found, reason="<img src=x onerror=alert(2)>")
    html = colleague.get(f"/jobs/{job.pk}/").content.decode() + colleague.get("/jobs/").content.decode()
    assert "<script>alert" not in html
    assert "<img src=x" not in html


def test_the_page_carries_no_inline_script_or_style(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    html = colleague.get(f"/jobs/{job.pk}/", {"test": "at-plug"}).content.decode()
    assert not re.search(r"<script(?![^>]*\bsrc=)", html)
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=", html)
