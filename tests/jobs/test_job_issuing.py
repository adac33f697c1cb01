"""Issued estimates are frozen: by their hash, and by the database, whatever path a write takes."""

import hashlib
import json
from dataclasses import replace
from datetime import timedelta

import pytest
import rfc8785
from django.db import DatabaseError, IntegrityError, connection, transaction

from catalog.models import Offer, Part
from estimates import issuing
from estimates.actions import Changed, choose, delete_finding, delete_reading
from estimates.builder import build_for
from estimates.issuing import check_issuable, issue
from estimates.models import IssuedEstimate, IssuedFile, IssuedLine, Job
from shop.models import Event
from shop.rules.errors import Refused
from tests.jobs.conftest import NOON

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_catalogue")]

LATER = NOON + timedelta(days=1)
TABLES = {
    IssuedEstimate: {"firm_total": 1},
    IssuedLine: {"net": 1},
    IssuedFile: {"name": "other.pdf"},
}


@pytest.fixture
def issued(job, writer):
    return issue(job, by=writer, at=NOON)


# What is frozen


def test_the_document_hashes_again_to_the_hash_stored_beside_it(issued):
    again = rfc8785.dumps(json.loads(issued.document))
    assert again == issued.document.encode()
    assert hashlib.sha256(again).hexdigest() == issued.sha256


def test_every_file_hashes_to_the_hash_stored_beside_it(issued):
    files = {file.media_type: file for file in issued.files.all()}
    assert sorted(files) == ["application/json", "application/pdf"]
    for file in files.values():
        assert hashlib.sha256(bytes(file.content)).hexdigest() == file.sha256
    assert bytes(files["application/json"].content) == issued.document.encode()
    assert bytes(files["application/pdf"].content).startswith(b"%PDF-")


def test_the_totals_beside_the_document_are_those_in_it(issued):
    totals = json.loads(issued.document)["totals"]
    issued.refresh_from_db()
    for name, stored in (
        ("firm", issued.firm_total), ("ceiling", issued.ceiling_total), ("options", issued.options_total),
    ):  # fmt: skip
        assert f"{stored:.2f}" == totals[name]["with_tax"]


def test_the_lines_beside_the_document_are_those_in_it(issued):
    groups = json.loads(issued.document)["groups"]
    printed = [
        (group, item["key"], line["text"], line["net"])
        for group, items in groups.items() for item in items for line in item["lines"]
    ]  # fmt: skip
    stored = [(x.group, x.item, x.description, f"{x.net:.2f}") for x in issued.lines.all()]
    assert sorted(stored) == sorted(printed)


def test_issuing_leaves_an_event_with_the_hash(issued, writer):
    event = Event.objects.latest("pk")
    assert (event.what, event.subject, event.by) == ("estimate-issued", f"{issued.number}/1", writer)
    assert event.detail == {"sha256": issued.sha256}


def test_costs_and_suppliers_are_not_in_the_document(issued):
    line = issued.lines.exclude(supplier="").first()
    assert line.unit_cost is not None
    assert line.supplier not in issued.document
    assert "unit_cost" not in issued.document


def test_later_changes_of_catalogue_and_shop_do_not_reach_an_issued_estimate(issued):
    before = (issued.document, list(issued.lines.values()))
    Offer.objects.update(price=1)
    Part.objects.update(description="other")
    again = IssuedEstimate.objects.get(pk=issued.pk)
    assert (again.document, list(again.lines.values())) == before


# What the database refuses


def refuses(write):
    with pytest.raises(DatabaseError, match="never change: add a new one") as refusal, transaction.atomic():
        write()
    return refusal.value


def sql(statement):
    with connection.cursor() as cursor:
        cursor.execute(statement)


@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.__name__)
def test_the_database_refuses_every_way_to_change_an_issued_row(model, issued):
    table, change = model._meta.db_table, TABLES[model]
    column, value = next(iter(change.items()))
    row = model.objects.first()
    setattr(row, column, value)
    before = list(model.objects.order_by("pk").values())
    assert before
    assert isinstance(refuses(row.save), IntegrityError)
    refuses(lambda: model.objects.filter(pk=row.pk).update(**change))
    refuses(lambda: model.objects.bulk_update([row], [column]))
    refuses(lambda: sql(f"UPDATE {table} SET {column} = {column}"))
    assert list(model.objects.order_by("pk").values()) == before


@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.__name__)
def test_the_database_refuses_every_way_to_delete_an_issued_row(model, issued):
    table = model._meta.db_table
    before = model.objects.count()
    row = model.objects.first()
    if model is not IssuedEstimate:  # the rows that protect an estimate refuse first
        refuses(row.delete)
        refuses(model.objects.all().delete)
    refuses(lambda: model.objects.all()._raw_delete("default"))
    refuses(lambda: sql(f"DELETE FROM {table}"))
    assert model.objects.count() == before


@pytest.mark.databases("postgresql")
@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.__name__)
def test_the_database_refuses_to_truncate_issued_rows(model, issued):
    # within a test there are checks still to be made at the end; PostgreSQL would refuse for that alone
    sql("SET CONSTRAINTS ALL IMMEDIATE")
    before = model.objects.count()
    refuses(lambda: sql(f"TRUNCATE {model._meta.db_table} CASCADE"))
    assert model.objects.count() == before > 0


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("model", TABLES, ids=lambda model: model.__name__)
def test_the_database_refuses_to_replace_an_issued_row_by_inserting_over_it(model, issued):
    """SQLite fires delete triggers for INSERT OR REPLACE only with recursive triggers on."""
    table = model._meta.db_table
    before = list(model.objects.order_by("pk").values())
    with pytest.raises(DatabaseError), transaction.atomic():
        sql(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")
    assert list(model.objects.order_by("pk").values()) == before


def test_a_job_with_an_issued_estimate_cannot_be_deleted(issued, job):
    with pytest.raises(IntegrityError), transaction.atomic():
        job.delete()


def test_an_event_cannot_be_changed_or_deleted(issued):
    refuses(lambda: Event.objects.update(what="nothing"))
    refuses(lambda: Event.objects.all()._raw_delete("default"))


# Revisions


def test_issuing_again_makes_the_second_revision_which_replaces_the_first(issued, job, writer):
    choose(job, "belt-replace@engine", True, by=writer, at=LATER)
    job.refresh_from_db()
    second = issue(job, by=writer, at=LATER)
    assert (second.number, second.revision, second.replaces) == (issued.number, 2, issued)
    assert json.loads(second.document)["revision"] == 2
    assert second.firm_total > issued.firm_total
    assert IssuedEstimate.objects.get(pk=issued.pk).sha256 == issued.sha256
    assert second.files.count() == 2


def test_the_number_of_an_estimate_comes_from_its_job(issued, job):
    assert issued.number == f"E-{job.number}"


def test_an_estimate_is_not_issued_on_an_old_version(job, writer):
    choose(job, "belt-replace@engine", True, by=writer, at=NOON)
    with pytest.raises(Changed):
        issue(job, by=writer, at=NOON)
    assert IssuedEstimate.objects.count() == IssuedLine.objects.count() == IssuedFile.objects.count() == 0


def test_a_change_made_while_the_pdf_is_drawn_is_noticed(job, writer, monkeypatch):
    drawn = issuing.render_pdf

    def draw_slowly(*args, **kwargs):
        choose(job, "belt-replace@engine", True, by=writer, at=NOON)
        return drawn(*args, **kwargs)

    monkeypatch.setattr(issuing, "render_pdf", draw_slowly)
    with pytest.raises(Changed, match="was changed meanwhile"):
        issue(job, by=writer, at=NOON)
    assert IssuedEstimate.objects.count() == 0


def test_two_who_issue_at_once_make_one_revision(job, writer, monkeypatch):
    drawn = issuing.render_pdf

    def draw_slowly(*args, **kwargs):
        monkeypatch.setattr(issuing, "render_pdf", drawn)
        issue(job, by=writer, at=NOON)  # the other one is quicker
        return drawn(*args, **kwargs)

    monkeypatch.setattr(issuing, "render_pdf", draw_slowly)
    with pytest.raises(Changed, match="was issued meanwhile"):
        issue(job, by=writer, at=NOON)
    assert [e.revision for e in IssuedEstimate.objects.all()] == [1]


# What cannot be issued


def nothing_issued():
    return IssuedEstimate.objects.count() + IssuedLine.objects.count() + IssuedFile.objects.count()


def test_an_estimate_with_a_problem_is_not_issued_and_says_which(job, writer):
    Offer.objects.filter(part__part_type__code="glow-plug").delete()
    Part.objects.filter(part_type__code="glow-plug").update(list_price=None, list_currency="")
    events = Event.objects.count()
    with pytest.raises(Refused, match="no supplier offers") as refusal:
        issue(job, by=writer, at=NOON)
    assert refusal.value.faults[0].right == "add a part, an offer or a list price"
    assert (nothing_issued(), Event.objects.count()) == (0, events)


def test_an_estimate_without_a_line_is_not_issued(job, writer):
    for row in job.readings.all():
        delete_reading(job, row, by=writer, at=NOON)
    for row in job.findings.all():
        delete_finding(job, row, by=writer, at=NOON)
    job.refresh_from_db()
    with pytest.raises(Refused, match="has no lines; enter readings or a finding first"):
        issue(job, by=writer, at=NOON)
    assert nothing_issued() == 0


def test_an_estimate_ends_with_the_earliest_offer_it_rests_on(job, writer):
    built = build_for(job, NOON.date())
    assert built.valid_until == NOON.date() + timedelta(days=30)
    part = next(p.part for s in built.supplies.values() for p in s.pieces if p.offer is not None)
    Offer.objects.filter(part_id=part.id).update(valid_until=NOON.date() + timedelta(days=3))
    assert build_for(job, NOON.date()).valid_until == NOON.date() + timedelta(days=3)


def test_an_offer_that_ended_yesterday_is_not_bought_from(job):
    before = build_for(job, NOON.date())
    piece = next(p for s in before.supplies.values() for p in s.pieces if p.offer is not None)
    Offer.objects.filter(pk=piece.offer.id).update(valid_until=NOON.date() - timedelta(days=1))
    offers = [p.offer.id for s in build_for(job, NOON.date()).supplies.values() for p in s.pieces if p.offer]
    assert piece.offer.id not in offers


def test_the_job_row_itself_is_still_a_draft_after_issuing(issued, job, writer):
    choose(job, "belt-replace@engine", True, by=writer, at=LATER)
    assert Job.objects.get(pk=job.pk).version == job.version + 1


def test_discounts_that_let_more_work_cost_less_are_refused_in_words(job):
    built = build_for(job, NOON.date())
    priced = built.priced
    turned = replace(priced, firm=priced.ceiling, ceiling=priced.options, options=priced.firm)
    upside_down = replace(built, priced=turned)
    with pytest.raises(Refused, match="smaller ones on items"):
        check_issuable(upside_down)
    check_issuable(built)
