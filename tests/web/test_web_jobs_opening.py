"""A job is opened for who is on record, or for somebody new."""

import pytest
from desk import value_of, words
from django.test import Client
from floor import FAMILY, lay_out

from estimates.models import Customer, Job, Unit

pytestmark = pytest.mark.django_db
NEW = {
    "customer_name": "Otter Ferries",
    "phone": "555 0199",
    "family": FAMILY,
    "name": "Ferry, port engine",
    "serial": "HB 004 711",
    "built": "2016",
    "road_use": "no",
    "option-connector": "9-way",
    "complaint": "Smokes white for a minute.",
}


def test_a_new_customer_comes_with_machine_and_job_in_one_go(colleague: Client):
    lay_out()
    answer = colleague.post("/jobs/open/", NEW)
    job = Job.objects.select_related("unit__customer", "writer").get()
    assert answer["Location"] == f"/jobs/{job.pk}/"
    assert job.unit.customer.name == "Otter Ferries"
    assert job.unit.options.get().value == "9-way"
    assert job.unit.built_from.isoformat() == "2016-01-01"
    assert job.writer.get_username() == "colleague"


def test_somebody_on_record_is_found_with_their_machines(colleague: Client):
    lay_out().job(name="Hay baler", registration="WX 12")
    text = words(colleague.get("/jobs/open/", {"q": "wx 12"}))
    assert "Marten Farm" in text
    assert "Hay baler" in text


def test_a_machine_on_record_needs_only_the_complaint(colleague: Client):
    unit = lay_out().job().unit
    colleague.post("/jobs/open/", {"unit": unit.pk, "complaint": "Again."})
    assert Job.objects.filter(unit=unit).count() == 2
    assert Unit.objects.count() == 1


def test_another_machine_of_a_customer_puts_no_second_customer_on_record(colleague: Client):
    customer = lay_out().job().unit.customer
    given = {key: value for key, value in NEW.items() if key not in ("customer_name", "phone")}
    colleague.post("/jobs/open/", {"customer": customer.pk, **given})
    assert Customer.objects.count() == 1
    assert customer.units.count() == 2


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("serial", "ZZ 1", "ZZ 1"),
        ("built", "June 2016", "Write it as 2014, 2014-06 or 2014-06-03"),
        ("built", "2016-02-30", "is not a year, a month or a day of the calendar"),
        ("family", "", "This field is required"),
        ("family", "no-such", "Select a valid choice"),
        ("name", "", "This field is required"),
        ("complaint", "", "This field is required"),
        ("customer_name", "   ", "This field is required"),
        ("option-connector", "7-way", "Select a valid choice"),
    ],
)
def test_what_cannot_be_taken_is_said_and_nothing_is_written(
    colleague: Client, field: str, typed: str, said: str
):
    lay_out()
    answer = colleague.post("/jobs/open/", {**NEW, field: typed})
    assert answer.status_code == 422
    assert said in words(answer)
    assert value_of(answer, "phone") == "555 0199"
    assert not Customer.objects.exists()
    assert not Job.objects.exists()


def test_a_fault_is_tied_to_its_field_for_screen_readers(colleague: Client):
    lay_out()
    page = colleague.post("/jobs/open/", {**NEW, "built": "June"}).content.decode()
    assert 'aria-invalid="true"' in page
    assert 'aria-describedby="id_built_helptext id_built_error"' in page
    assert 'id="id_built_error"' in page


@pytest.mark.parametrize("asked", [{"unit": "9999"}, {"customer": "9999"}, {"unit": "x"}, {"unit": "9" * 40}])
def test_nobody_on_record_under_this_key_is_not_found(colleague: Client, asked: dict[str, str]):
    lay_out()
    assert colleague.get("/jobs/open/", asked).status_code == 404


def test_the_options_of_an_engine_are_asked_once_its_family_is_chosen(colleague: Client):
    lay_out()
    assert "Heater connector" not in words(colleague.get("/jobs/open/", {"new": "1"}))
    assert "Heater connector" in words(colleague.get("/jobs/open/", {"new": "1", "family": FAMILY}))
