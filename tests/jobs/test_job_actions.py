"""Writes about a job: each with its event, each refused where somebody else was there first."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from catalog.queries import family_card
from catalog.rules.interval import DateInterval
from estimates import actions
from estimates.actions import (
    Changed,
    add_customer,
    choose,
    delete_finding,
    delete_reading,
    keep_job,
    learn_about_unit,
    next_number,
    save_finding,
    save_reading,
)
from estimates.builder import build, build_for
from estimates.issuing import draft_content, freeze
from estimates.jobfile import read_job_file
from estimates.models import Customer, DraftChoice, Finding, Job, Reading, UnitOption
from estimates.queries import job_in
from estimates.rules.intake import CustomerIn, JudgedIn, ReadingIn, UnitIn
from estimates.rules.reading import Measured
from shop.models import Event
from tests.jobs.conftest import JOB_FILES, NOON, everything

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]

LATER = NOON + timedelta(hours=1)


def place(code="1", family="fell-8"):
    return family_card(family).position(code)


def reading(code="1", value="1.05", **changes) -> ReadingIn:
    measured = Measured("number", Decimal(value), temperature=Decimal("18"))
    return replace(ReadingIn("glow-resistance-connector", place(code), measured, f"{value} Ω"), **changes)


def judged(standing="advisory") -> JudgedIn:
    return JudgedIn("drive-belt", place("engine"), standing, 1, "frayed")


def facts() -> UnitIn:
    return UnitIn(
        "Truck 12", "fell-8", DateInterval.from_text("2013-11-04"), "FA 618 204",
        {"heater-connector": "5-way"}, "no", "TG-12", "",
    )  # fmt: skip


WRITES = {
    "reading-retaken": lambda job, **k: save_reading(job, reading(), **k),
    "finding-made": lambda job, **k: save_finding(job, judged("confirmed"), **k),
    "reading-removed": lambda job, **k: delete_reading(job, job.readings.first(), **k),
    "finding-removed": lambda job, **k: delete_finding(job, job.findings.first(), **k),
    "item-taken-in": lambda job, **k: choose(job, "belt-replace@engine", True, **k),
    "item-left-out": lambda job, **k: choose(job, "belt-replace@engine", False, **k),
    "unit-facts": lambda job, **k: learn_about_unit(job, facts(), **k),
}


def state(job):
    """All that these writes touch."""
    tables = (Reading, Finding, DraftChoice, UnitOption)
    rows = [list(model.objects.order_by("pk").values()) for model in tables]
    return rows, list(Job.objects.values()), list(type(job.unit).objects.values()), Event.objects.count()


@pytest.mark.parametrize("what", WRITES)
def test_a_write_leaves_one_event_and_counts_the_version_up(what, job, writer):
    before = Event.objects.count()
    WRITES[what](job, by=writer, at=LATER, version=job.version)
    assert Event.objects.count() == before + 1
    event = Event.objects.latest("pk")
    assert (event.what, event.by, event.at) == (what, writer, LATER)
    assert Job.objects.get(pk=job.pk).version == job.version + 1


@pytest.mark.parametrize("what", WRITES)
def test_a_write_on_an_old_version_is_refused_and_nothing_is_written(what, job, writer):
    save_finding(job, judged("suspected"), by=writer, at=NOON, version=job.version)
    before = state(job)
    with pytest.raises(Changed) as refusal:
        WRITES[what](job, by=writer, at=LATER, version=job.version)
    assert state(job) == before
    fault = refusal.value.faults[0]
    assert fault.what == f"was changed meanwhile (version {job.version + 1}, not {job.version})"
    assert fault.right == "look again, then repeat"


@pytest.mark.parametrize("what", WRITES)
def test_where_the_event_cannot_be_written_the_write_does_not_stand_either(what, job, writer, monkeypatch):
    def no_more_room(*args, **kwargs):
        raise OSError("disk full")

    before = state(job)
    monkeypatch.setattr(actions, "record", no_more_room)
    with pytest.raises(OSError, match="disk full"):
        WRITES[what](job, by=writer, at=LATER)
    assert state(job) == before


def test_of_two_who_read_the_same_version_only_the_first_writes(job, writer):
    seen = job.version
    choose(job, "belt-replace@engine", True, by=writer, at=LATER, version=seen)
    with pytest.raises(Changed):
        choose(job, "belt-replace@engine", False, by=None, at=LATER, version=seen)
    assert DraftChoice.objects.get(job=job, item="belt-replace@engine").included is True


def test_a_reading_taken_again_replaces_the_first_and_its_decimals(job, writer):
    row = save_reading(job, reading(value="1.050"), by=writer, at=LATER)
    same = Reading.objects.filter(job=job, test_point=row.test_point, position=row.position)
    assert (same.count(), row.places) == (1, 3)
    family = family_card("fell-8")
    kept = next(r for r in job_in(job, family).readings if r.key == "glow-resistance-connector@1")
    assert str(kept.measured.value) == "1.050"


def test_a_reading_after_the_repair_stands_beside_the_one_before(job, writer):
    save_reading(job, reading(phase="after"), by=writer, at=LATER)
    kept = [r.phase for r in job_in(job, family_card("fell-8")).readings if r.place.code == "1"]
    assert sorted(kept) == ["after", "before"]


def test_new_facts_replace_all_that_was_known_of_the_unit(job, writer):
    learn_about_unit(job, facts(), by=writer, at=LATER)
    known = job_in(
        Job.objects.select_related("unit__customer", "unit__family").get(pk=job.pk), family_card("fell-8")
    )
    assert known.unit == facts()


@pytest.mark.parametrize("path", JOB_FILES, ids=lambda path: path.stem)
def test_a_job_kept_in_the_database_says_the_same_as_its_file(path, writer):
    intake, book = read_job_file(path, NOON.date())
    kept = keep_job(intake, by=writer, at=NOON, number="J7")
    from_file = draft_content(build(replace(intake, number="J7"), NOON.date(), book=book), NOON)
    from_rows = draft_content(build_for(kept, NOON.date()), NOON)
    from_file["customer"]["number"] = from_rows["customer"]["number"]  # given when it is kept
    assert from_rows == from_file
    assert freeze(from_rows).sha256 == freeze(from_file).sha256


def test_keeping_a_job_writes_all_of_it_or_nothing(writer, monkeypatch):
    intake, _ = read_job_file(JOB_FILES[0], NOON.date())
    before = everything()

    def broken(*args, **kwargs):
        raise OSError("disk full")

    monkeypatch.setattr(actions, "save_finding", broken)
    with pytest.raises(OSError, match="disk full"):
        keep_job(intake, by=writer, at=NOON)
    assert everything() == before


def test_numbers_go_on_after_the_highest_also_past_their_width(writer):
    assert next_number(Customer, "C") == "C1001"
    for number in ("C9", "C1009", "C10010", "CX99999"):
        Customer.objects.create(number=number, name=number)
    assert next_number(Customer, "C") == "C10011"


def test_a_customer_keeps_a_number_that_was_given(writer):
    assert add_customer(CustomerIn("Marsh Heron", number="H-7")).number == "H-7"


def test_building_an_estimate_writes_nothing(job):
    before = state(job)
    build_for(job, NOON.date())
    assert state(job) == before
