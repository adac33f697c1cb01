"""The page of a job: facts, findings, the estimate with its switches, issuing, and who may see it."""

import hashlib
import json
import re
from typing import Any

import pytest
from desk import advise_belt, measure_dead_plug, post, read, value_of, version, words
from django.test import Client
from django.urls import reverse
from floor import lay_out

from catalog.models import Offer
from estimates.models import DraftChoice, Finding, IssuedEstimate, IssuedFile, Job
from estimates.urls import urlpatterns
from shop.models import Event, Workshop

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


# Who may see it


def test_every_page_of_the_jobs_asks_a_stranger_to_sign_in(stranger: Client):
    job = lay_out().job()
    for pattern in urlpatterns:
        names = pattern.pattern.converters
        key = {"pk": job.pk, "name": "x"}
        url = reverse(pattern.name, kwargs={name: key[name] for name in names})
        answers = [stranger.get(url), stranger.post(url)]
        # A page that only takes a form answers 405 to a look at it, before it asks who is there.
        led = [a for a in answers if a.status_code == 302 and a["Location"].startswith("/sign-in/?next=")]
        assert led, url
        assert {a.status_code for a in answers if a not in led} <= {405}, url


@pytest.mark.parametrize("path", ["", "draft.pdf", "issued/E-1-1.pdf"])
def test_a_job_that_is_not_there_is_not_found(colleague: Client, path: str):
    assert colleague.get(f"/jobs/999/{path}").status_code == 404
    assert colleague.get(f"/jobs/{10**30}/{path}").status_code == 404


@pytest.mark.parametrize("path", ["unit", "readings", "findings", "choices", "issue", "readings/remove"])
def test_a_form_for_a_job_that_is_not_there_is_not_found(colleague: Client, path: str):
    assert colleague.post(f"/jobs/999/{path}/", {"version": 1}).status_code == 404


# The machine


def test_what_nobody_knows_of_the_machine_says_so(colleague: Client):
    text = page(colleague, lay_out().job())
    assert "Engine serial number not known" in text
    assert "Heater connector not known" in text
    assert "Engine built in April 2015" in text


def test_a_fact_learnt_later_is_written_down_in_place(colleague: Client):
    job = lay_out().job()
    answer = post(colleague, job, "unit", **FACTS, serial="HB 004 711", **{"option-connector": "9-way"})
    assert answer["Location"] == f"/jobs/{job.pk}/#machine"
    job.refresh_from_db()
    assert job.unit.options.get().value == "9-way"
    assert "Heater connector 9-way" in page(colleague, job)


def test_a_wrong_serial_number_stays_in_its_field_with_what_would_be_right(colleague: Client):
    job = lay_out().job()
    answer = post(colleague, job, "unit", **FACTS, serial="4711")
    assert answer.status_code == 422
    assert value_of(answer, "serial") == "4711"
    assert 'aria-describedby="id_serial_helptext id_serial_error"' in answer.content.decode()
    job.unit.refresh_from_db()
    assert job.unit.serial == ""


def test_a_vehicle_number_that_fails_its_check_is_kept_with_a_warning(colleague: Client):
    # 49 CFR 565.15(c): for seventeen ones the check character is 1, so a 2 at the end changes it.
    job = lay_out().job()
    assert post(colleague, job, "unit", **FACTS, vin="1111111111111111 2").status_code == 302
    assert "Look at the vehicle identification number again" in page(colleague, job)


def test_a_build_date_on_record_that_cannot_be_typed_is_kept(colleague: Client):
    job = lay_out().job()
    unit = job.unit
    unit.built_until = None  # on or after 1 April 2015
    unit.save()
    assert post(colleague, job, "unit", **{**FACTS, "built": ""}).status_code == 302
    unit.refresh_from_db()
    assert unit.built_from.isoformat() == "2015-04-01"


def test_facts_from_an_outdated_page_are_kept_in_the_form_and_not_written(colleague: Client, owner: Client):
    job = lay_out().job()
    post(owner, job, "unit", **FACTS, registration="TG 1")
    answer = post(colleague, job, "unit", 1, **FACTS, registration="TG 2")
    assert answer.status_code == 409
    assert value_of(answer, "registration") == "TG 2"
    job.unit.refresh_from_db()
    assert job.unit.registration == "TG 1"


# Findings


def test_a_persons_finding_stands_with_its_reason_and_name(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    text = page(colleague, job)
    assert "Drive belt: can wait, worth knowing Ribs frayed. A person’s judgement, colleague." in text


def test_a_persons_finding_goes_before_what_the_readings_say_and_both_stay_visible(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    found = {"component": "heater", "position": "3", "standing": "advisory", "quantity": "1"}
    post(colleague, job, "findings", **found, reason="customer wants to wait")
    text = page(colleague, job)
    assert "Glow plug, cylinder 3: can wait, worth knowing" in text
    assert "the readings alone make it confirmed" in text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("reason", "", "This field is required"),
        ("component", "", "This field is required"),
        ("component", "no-such", "Select a valid choice"),
        ("position", "3", "Cylinder 3 is not the engine"),
        ("position", "9", "Select a valid choice"),
        ("standing", "maybe", "Select a valid choice"),
        ("quantity", "0", "is not a whole number from 1 to 1000"),
        ("quantity", "some", "is not a number"),
    ],
)
def test_a_finding_that_cannot_be_taken_is_refused_with_what_was_typed(
    colleague: Client, field: str, typed: str, said: str
):
    job = lay_out().job()
    good = {"component": "belt", "position": "engine", "standing": "advisory", "quantity": "1"}
    answer = post(colleague, job, "findings", **{**good, "reason": "ribs frayed", field: typed})
    assert answer.status_code == 422
    assert said in words(answer)
    if field != "reason":
        assert value_of(answer, "reason") == "ribs frayed"
    assert not Finding.objects.exists()


def test_a_finding_can_be_taken_back(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    post(colleague, job, "findings/remove", finding=Finding.objects.get().pk)
    assert not Finding.objects.exists()
    assert Event.objects.filter(what="finding-removed", subject=job.number).exists()


def test_a_finding_that_was_taken_back_meanwhile_is_a_conflict(colleague: Client, owner: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    key, seen = Finding.objects.get().pk, version(job)
    post(owner, job, "findings/remove", finding=key)
    assert post(colleague, job, "findings/remove", seen, finding=key).status_code == 409
    assert post(colleague, job, "findings/remove", finding=key).status_code == 404


# The estimate


def test_the_firm_total_can_be_added_up_by_hand(colleague: Client):
    """Tests 6 + 7 x 2 at the connector and 6 at the plug, cover 40 once, plug 20: 86 min.

    86 min are 1.433 h, billed 1.4 h at 90.00: 126.00. Plug 16.00 and gasket 22.00, both with 50 % on top:
    24.00 and 33.00. 183.00 without tax, 20 % tax 36.60, together 219.60. Worked out by hand.
    """
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    text = page(colleague, job)
    assert "86 min, billed as 1.4 h in steps of 0.1 h at 90.00 EUR an hour, 126.00 EUR" in text
    assert "Total without tax 183.00" in text
    assert "Firm 219.60 EUR" in text


def test_what_may_break_stands_under_only_if_found_on_opening(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    text = page(colleague, job)
    start = text.index("Only if found on opening Not in the firm price.")
    assert "Extract a broken glow plug, cylinder 3" in text[start:]
    assert "Only if the plug breaks while it is unscrewed." in text[start:]


def test_a_switch_takes_an_item_into_the_firm_price_and_out_again(colleague: Client):
    """The belt: 22 min more are 108 min, 1.8 h, 162.00; parts 57.00 + 27.00; 246.00, with tax 295.20."""
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    advise_belt(colleague, job)
    assert "adds 75.60 EUR" in page(colleague, job)
    assert post(colleague, job, "choices", include=[BELT])["Location"] == f"/jobs/{job.pk}/#estimate"
    text = page(colleague, job)
    assert "Firm 295.20 EUR" in text
    assert "Was “if you wish”; now part of the firm work." in text
    post(colleague, job, "choices", include=[])
    assert "Firm 219.60 EUR" in page(colleague, job)


def test_a_switch_used_live_is_answered_with_the_estimate_and_the_new_version(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    advise_belt(colleague, job)
    data = {"version": version(job), "include": [BELT]}
    answer = colleague.post(f"/jobs/{job.pk}/choices/", data, headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert "<html" not in text
    assert "Firm total now 295.20 EUR" in words(answer)
    # Every other form on the page learns the version, or its next use would be refused.
    renewed = re.findall(r'name="version" value="(\d+)" id="version-([a-z-]+)"[^>]* hx-swap-oob="true"', text)
    assert {number for number, _ in renewed} == {str(version(job))}
    whole = colleague.get(f"/jobs/{job.pk}/", {"test": "at-plug"}).content.decode()
    outside = whole[: whole.index('<div id="priced">')]
    assert {name for _, name in renewed} == set(re.findall(r'id="version-([a-z-]+)"', outside))


def test_a_switch_on_an_outdated_page_changes_nothing_and_says_what_was_wanted(
    colleague: Client, owner: Client
):
    job = lay_out().job()
    advise_belt(colleague, job)
    seen = version(job)
    read(owner, job, "relay-lamp", {"engine": "on"})
    for headers in ({}, {"HX-Request": "true"}):
        data = {"version": seen, "include": [BELT]}
        answer = colleague.post(f"/jobs/{job.pk}/choices/", data, headers=headers)
        assert answer.status_code == 409
        assert "Your switches were on for: Replace drive belt." in words(answer)
        assert 'hx-swap-oob="true"' not in answer.content.decode()
    assert not DraftChoice.objects.filter(included=True).exists()


def test_a_switch_for_an_item_that_is_not_in_the_estimate_is_not_found(colleague: Client):
    job = lay_out().job()
    assert post(colleague, job, "choices", include=["no-such"]).status_code == 404


def test_a_part_that_hangs_on_an_unknown_fact_is_to_be_confirmed(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "relay-lamp", {"engine": "off"})
    text = page(colleague, job)
    assert "To be confirmed." in text
    assert "the heater connector" in text


def test_a_finding_that_nothing_repairs_is_an_open_point(colleague: Client):
    job = lay_out().job()
    found = {"component": "clip", "position": "A", "standing": "confirmed", "quantity": "3"}
    post(colleague, job, "findings", **found, reason="broke when pulled")
    assert "Open points Retainer clips, bank A:" in page(colleague, job)


def test_shared_teardown_is_explained(colleague: Client):
    # The cover (40 min) serves the test at the plug and the plug's replacement: by themselves 126 min.
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    said = "Each item by itself would come to 126 min; shared teardown is counted once, which saves 40 min."
    assert said in page(colleague, job)


def test_without_a_workshop_the_page_says_what_is_missing(colleague: Client):
    job = lay_out().job()
    Workshop.objects.all().delete()
    answer = colleague.get(f"/jobs/{job.pk}/")
    assert answer.status_code == 200
    assert "There is no estimate yet. Workshop: it is not set up yet." in words(answer)


@pytest.mark.databases("sqlite", "postgresql")
def test_the_page_asks_the_database_as_often_for_a_full_job_as_for_a_small_one(
    colleague: Client, django_assert_max_num_queries: Any
):
    floor = lay_out()
    small, full = floor.job(), floor.job()
    measure_dead_plug(colleague, small)
    advise_belt(colleague, small)
    measure_dead_plug(colleague, full)
    advise_belt(colleague, full)
    read(colleague, full, "at-plug", {"5": "open", "6": "open", "7": "0.90"})
    read(colleague, full, "relay-lamp", {"engine": "off"})
    for place in "1278":
        found = {"component": "lead", "position": place, "standing": "suspected", "quantity": "1"}
        post(colleague, full, "findings", **found, reason="chafed")
    for job in (small, full):
        post(colleague, job, "issue")
    post(colleague, full, "issue")
    with django_assert_max_num_queries(200) as counted:
        colleague.get(f"/jobs/{small.pk}/", {"test": "at-plug"})
    with django_assert_max_num_queries(len(counted)):
        colleague.get(f"/jobs/{full.pk}/", {"test": "at-plug"})
    assert len(counted) <= 60


# Issuing


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
