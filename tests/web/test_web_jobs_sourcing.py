"""Where the parts are bought, on the page of a job, and what of it is frozen with an issued estimate."""

import json
from datetime import timedelta

import pytest
import rfc8785
from desk import measure_dead_plug, post, words
from django.test import Client
from django.utils import timezone
from floor import lay_out

from catalog.models import Offer, Stock, Supplier
from estimates.models import IssuedEstimate, Job

pytestmark = pytest.mark.django_db


def dearer_but_sooner() -> Supplier:
    """Another house for the glow plug: 10.00 more, there tomorrow; the usual one takes a week."""
    offer = Offer.objects.get(part__number="GX-1042")
    Offer.objects.filter(pk=offer.pk).update(lead_days=7)
    quick = Supplier.objects.create(code="quick", name="Quick Parts", currency=offer.supplier.currency)
    Offer.objects.create(
        supplier=quick, part=offer.part, price=offer.price + 10, lead_days=1, valid_from=offer.valid_from
    )
    return quick


def test_the_plan_that_is_followed_decides_the_price_and_is_frozen(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    dearer_but_sooner()
    before = words(colleague.get(f"/jobs/{job.pk}/"))
    assert "Cheapest followed" in before
    soon = timezone.localdate() + timedelta(days=3)
    assert post(colleague, job, "sourcing", needed_by=soon.isoformat(), plan="").status_code == 302
    assert "from Quick Parts" in (page := words(colleague.get(f"/jobs/{job.pk}/")))
    assert "it would be there on" in page
    assert post(colleague, job, "issue").status_code == 302
    kept = IssuedEstimate.objects.get(job=job)
    basis = json.loads(kept.cost_basis)
    assert rfc8785.dumps(basis).decode() == kept.cost_basis
    assert (basis["plan"], basis["needed_by"]) == ("cheapest", soon.isoformat())
    assert [
        one["supplier"] for line in basis["lines"] for one in line["taken"] if one["supplier"] == "quick"
    ] == ["quick"]
    assert "Quick Parts" not in kept.document


def test_a_day_that_is_past_or_none_is_said_beside_the_field(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    past = timezone.localdate() - timedelta(days=1)
    for given, told in (
        (past.isoformat(), "is past; give today or a later day"),
        ("soon", "This is no day."),
    ):
        answer = post(colleague, job, "sourcing", needed_by=given, plan="")
        assert (answer.status_code, told in words(answer)) == (422, True)
    outdated = post(colleague, job, "sourcing", 0, needed_by="", plan="soonest")
    assert outdated.status_code == 409
    assert Job.objects.get(pk=job.pk).sourcing_plan == ""


def test_what_lies_on_the_shelf_is_not_ordered(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    offer = Offer.objects.select_related("supplier").get(part__number="GX-1042")
    Stock.objects.create(
        part=offer.part, quantity=1, unit_cost=offer.price - 1, currency=offer.supplier.currency
    )
    assert "GX-1042 from own stock" in words(colleague.get(f"/jobs/{job.pk}/"))
