"""What is known of the machine, written down on the page of a job."""

import pytest
from desk import post, value_of, words
from django.test import Client
from floor import lay_out

from estimates.models import Job

pytestmark = pytest.mark.django_db
BELT = "belt-replace@engine"
FACTS = {"name": "Hay baler", "built": "2015-04", "road_use": "unknown"}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


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
