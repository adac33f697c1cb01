"""Readings typed on the page of a job: many at once, judged at once, refused whole."""

from decimal import Decimal

import pytest
from desk import CONNECTOR, measure_dead_plug, post, read, value_of, words
from django.test import Client
from floor import lay_out

from estimates.models import Reading
from shop.models import Event, MeterRange

pytestmark = pytest.mark.django_db


def test_eight_positions_are_written_down_in_one_go_and_judged(colleague: Client):
    job = lay_out().job()
    answer = read(colleague, job, "at-connector", {**CONNECTOR, "3": "open"})
    assert answer["Location"] == f"/jobs/{job.pk}/#readings"
    text = words(colleague.get(f"/jobs/{job.pk}/"))
    # 0.95 less the meter's zero 0.10; 0.8 % of 0.95 and 2 counts of 0.001 make 0.0096.
    assert "Cylinder 1 0.95 Ω 0.850 ± 0.0096 Ω good" in text
    assert "Cylinder 3 open circuit bad" in text
    assert Reading.objects.filter(job=job).count() == 8


def test_the_box_beside_a_position_means_an_open_circuit(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {}, **{"open-5": "on"})
    assert Reading.objects.get().kind == "open"


def test_a_lamp_is_on_or_off(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "relay-lamp", {"engine": "off"})
    assert Reading.objects.get().kind == "off"


@pytest.mark.parametrize(
    ("value", "resolution"), [("3.999", "0.001"), ("4.000", "0.001"), ("4.001", "0.1"), ("-4.000", "0.001")]
)
def test_a_reading_takes_the_accuracy_of_the_smallest_range_that_shows_it(
    colleague: Client, value: str, resolution: str
):
    job = lay_out().job()
    read(colleague, job, "at-connector", {"1": value})
    reading = Reading.objects.get()
    assert reading.resolution == Decimal(resolution)
    assert reading.accuracy_percent == Decimal("0.8")
    assert reading.accuracy_counts == 2
    assert reading.meter.code == "bench"


@pytest.mark.parametrize(("value", "status"), [("399.9", 302), ("400", 302), ("400.1", 422)])
def test_a_reading_beyond_the_meter_is_refused(colleague: Client, value: str, status: int):
    job = lay_out().job()
    assert read(colleague, job, "at-connector", {"1": value}).status_code == status


def test_a_range_stated_in_milliohms_serves_a_test_in_ohms(colleague: Client):
    floor = lay_out()
    job = floor.job()
    MeterRange.objects.create(
        meter=floor.meter,
        unit="mOhm",
        full_scale=Decimal(1000),
        resolution=Decimal("0.1"),
        accuracy_percent=Decimal("0.5"),
        accuracy_counts=3,
    )
    read(colleague, job, "at-connector", {"1": "0.95"})
    assert Reading.objects.get().resolution == Decimal("0.0001")


def test_the_accuracy_of_another_meter_can_be_stated(colleague: Client):
    job = lay_out().job()
    stated = {"accuracy_percent": "1.5", "accuracy_counts": "3", "resolution": "0.01"}
    read(colleague, job, "at-connector", {"1": "0.95"}, meter="other", **stated)
    reading = Reading.objects.get()
    assert (reading.accuracy_percent, reading.accuracy_counts) == (Decimal("1.5"), 3)
    assert reading.meter is None


def test_one_wrong_figure_keeps_all_eight_from_being_written_and_all_that_was_typed(colleague: Client):
    job = lay_out().job()
    answer = read(colleague, job, "at-connector", {**CONNECTOR, "4": "0,95"})
    assert answer.status_code == 422
    assert "'0,95' is not a number. Write a point, not a comma: 0.9." in words(answer)
    assert value_of(answer, "value-4") == "0,95"
    assert value_of(answer, "value-8") == "0.95"
    assert value_of(answer, "zero") == "0.10"
    assert not Reading.objects.exists()


def test_the_fault_is_tied_to_the_position_it_belongs_to(colleague: Client):
    job = lay_out().job()
    page = read(colleague, job, "at-connector", {"4": "abc"}).content.decode()
    assert 'aria-describedby="id_value-4_error"' in page
    assert 'id="id_value-4_error"' in page


def test_a_fault_of_the_meter_is_said_once_and_not_at_every_position(colleague: Client):
    job = lay_out().job()
    answer = read(colleague, job, "at-connector", CONNECTOR, zero="none")
    assert words(answer).count("'none' is not a number") == 1


def test_a_figure_and_open_circuit_at_once_are_refused(colleague: Client):
    job = lay_out().job()
    answer = read(colleague, job, "at-connector", {"2": "0.95"}, **{"open-2": "on"})
    assert answer.status_code == 422
    assert "Has both 0.95 and open circuit" in words(answer)


def test_an_empty_form_is_refused_in_words(colleague: Client):
    job = lay_out().job()
    answer = read(colleague, job, "at-connector", {})
    assert answer.status_code == 422
    assert "Nothing was typed yet" in words(answer)


def test_a_lamp_answer_to_a_resistance_is_refused(colleague: Client):
    job = lay_out().job()
    assert read(colleague, job, "at-connector", {"1": "on"}).status_code == 422


def test_an_unknown_test_point_is_not_found(colleague: Client):
    job = lay_out().job()
    assert read(colleague, job, "no-such", {"1": "1"}).status_code == 404


def test_a_reading_taken_again_replaces_the_first_and_the_trail_says_so(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {"1": "0.95"})
    read(colleague, job, "at-connector", {"1": "0.99"})
    assert Reading.objects.get().value == Decimal("0.99")
    assert Event.objects.filter(what="reading-retaken", subject=job.number).count() == 1


def test_a_reading_can_be_taken_off_again(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {"1": "0.95", "2": "0.96"})
    one = Reading.objects.get(position__code="1")
    assert post(colleague, job, "readings/remove", reading=one.pk).status_code == 302
    assert Reading.objects.get().position.code == "2"


@pytest.mark.parametrize("key", ["999999", "x", "", "9" * 40])
def test_a_reading_that_is_not_there_is_not_found(colleague: Client, key: str):
    job = lay_out().job()
    assert post(colleague, job, "readings/remove", reading=key).status_code == 404


def test_a_reading_of_another_job_cannot_be_taken_off_here(colleague: Client):
    floor = lay_out()
    one, other = floor.job(), floor.job()
    read(colleague, other, "at-connector", {"1": "0.95"})
    assert post(colleague, one, "readings/remove", reading=Reading.objects.get().pk).status_code == 404


def test_readings_from_an_outdated_page_are_kept_in_the_form_and_not_written(
    colleague: Client, owner: Client
):
    job = lay_out().job()
    read(owner, job, "at-connector", {"1": "0.97"})
    answer = read(colleague, job, "at-connector", {"1": "0.80", "2": "0.81"}, seen=1)
    assert answer.status_code == 409
    text = words(answer)
    assert "Not saved: this job was changed while you had it open." in text
    assert "was made by owner" in text
    assert "0.97 Ω" in text  # what stands now
    assert value_of(answer, "value-1") == "0.80"
    assert value_of(answer, "value-2") == "0.81"
    assert Reading.objects.get().value == Decimal("0.97")


def test_after_a_conflict_the_same_form_can_be_saved(colleague: Client, owner: Client):
    job = lay_out().job()
    read(owner, job, "at-connector", {"1": "0.97"})
    answer = read(colleague, job, "at-connector", {"2": "0.81"}, seen=1)
    shown = int(value_of(answer, "version"))
    assert read(colleague, job, "at-connector", {"2": "0.81"}, seen=shown).status_code == 302
    assert Reading.objects.count() == 2


@pytest.mark.parametrize("seen", ["", "x", "-1", "9" * 30])
def test_a_form_without_a_version_is_taken_for_outdated(colleague: Client, seen: str):
    job = lay_out().job()
    assert read(colleague, job, "at-connector", {"1": "0.9"}, seen=seen).status_code == 409  # type: ignore[arg-type]


def test_readings_that_agree_confirm_the_plug(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    assert "Glow plug, cylinder 3: confirmed" in words(colleague.get(f"/jobs/{job.pk}/"))


def test_the_picture_stands_beside_the_readings(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", CONNECTOR)
    page = colleague.get(f"/jobs/{job.pk}/").content.decode()
    assert 'role="img"' in page
    assert "<title>Resistance at the connector: 8 positions" in page


def test_readings_that_contradict_each_other_are_named(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {"3": "0.95"})  # good: lead and plug are cleared
    read(colleague, job, "at-plug", {"3": "open"})  # bad: the plug is accused
    text = words(colleague.get(f"/jobs/{job.pk}/"))
    assert "The readings contradict each other." in text
    assert "Resistance at the plug, cylinder 3 is bad" in text


def test_the_cautions_of_a_test_stand_over_its_form(colleague: Client):
    job = lay_out().job()
    text = words(colleague.get(f"/jobs/{job.pk}/", {"test": "at-plug"}))
    assert "Glow plugs burn skin for minutes after preheating." in text
