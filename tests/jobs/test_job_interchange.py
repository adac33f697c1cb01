"""A part that no application lists is bought where it serves like one that fits, through the real tables."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import InterchangeGroup, InterchangeMember, Offer, Part, Supplier
from estimates.builder import build_for
from estimates.issuing import draft_content
from tests.jobs.conftest import NOON

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


def of_plug(job):
    """The first glow plug's pieces, the lines of it in the document, and the statements it took."""
    with CaptureQueriesContext(connection) as asked:
        built = build_for(job, TODAY)
    supply = next(supply for (kind, _), supply in sorted(built.supplies.items()) if kind == "glow-plug")
    lines = [
        line
        for group in draft_content(built, NOON)["groups"].values()
        for item in group
        for line in item["lines"]
        if line["part"] and line["part"]["number"] == supply.pieces[0].part.number
    ]
    return supply.pieces[0], lines, len(asked)


def test_a_job_takes_the_cheaper_of_those_that_serve_alike_and_the_only_one_that_is_sold(job):
    of_plug(job)  # reads the unit of the job, once
    piece, _, before = of_plug(job)
    listed = piece.part
    group = InterchangeGroup.objects.get(members__part=listed.id)
    sort = Part.objects.get(pk=listed.id)
    unlisted = Part.objects.create(
        brand=sort.brand, number="SERVES-1", part_type=sort.part_type, grade="equivalent"
    )
    InterchangeMember.objects.create(group=group, part=unlisted)
    supplier = Supplier.objects.get(code=piece.offer.supplier)
    own = Offer.objects.create(
        supplier=supplier, part=unlisted, price=piece.cost + Decimal("0.01"), valid_from=TODAY
    )
    assert of_plug(job)[0].part.number == listed.number, "it is dearer"

    Offer.objects.filter(pk=own.pk).update(price=Decimal("0.01"))
    piece, lines, statements = of_plug(job)
    assert (piece.part.number, piece.cost) == ("SERVES-1", Decimal("0.01"))
    assert lines
    for line in lines:
        assert line["note"].startswith("Serves like ")
        assert listed.label in line["note"]
    assert statements == before

    Offer.objects.filter(pk=own.pk).update(price=Decimal("999.00"))
    Offer.objects.filter(part__part_type=sort.part_type).exclude(pk=own.pk).delete()
    Part.objects.filter(part_type=sort.part_type).update(list_price=None, list_currency="")
    assert of_plug(job)[0].part.number == "SERVES-1"
