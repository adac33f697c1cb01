"""What a person sets on the price, on the page of a job; and the page on which every figure unfolds."""

import re
from decimal import Decimal

import pytest
from desk import advise_belt, measure_dead_plug, post, words
from django.test import Client
from floor import lay_out

from estimates.models import Discount, HandLine, Job, Payment

pytestmark = pytest.mark.django_db
LINE = {
    "text": "Pressure test",
    "group": "firm",
    "category": "bought-in",
    "quantity": "1",
    "unit_price": "80",
}


def page(client: Client, job: Job) -> str:
    return words(client.get(f"/jobs/{job.pk}/"))


def test_lines_discounts_and_payments_set_by_hand_are_priced_on_the_page_and_taken_off(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    post(colleague, job, "lines", **LINE, reason="head came off", unit_cost="55.00")
    post(colleague, job, "discounts", item="hand:1", percent="25", amount="", reason="we know the shop")
    post(colleague, job, "payments", amount="30.00", how="card")
    text = page(colleague, job)
    assert "Pressure test: 1 × 80.00" in text
    assert "25 % off Pressure test" in text
    assert "in advance, card" in text
    assert "paid in advance" in text
    draft = colleague.get(f"/jobs/{job.pk}/draft.pdf")
    assert draft.status_code == 200
    assert HandLine.objects.get().unit_cost == Decimal("55")
    post(colleague, job, "by-hand/remove", line="hand:1")
    assert not HandLine.objects.exists()
    assert not Discount.objects.exists()
    assert Payment.objects.count() == 1
    assert "Pressure test" not in page(colleague, job)


@pytest.mark.parametrize(
    ("path", "typed", "said"),
    [
        ("lines", {**LINE, "unit_price": "-1"}, "is negative"),
        ("lines", {**LINE, "text": ""}, "This field is required"),
        ("lines", {**LINE, "quantity": "none"}, "is not a number"),
        ("discounts", {"percent": "5", "amount": "5", "reason": "x"}, "Has a percentage and an amount"),
        ("discounts", {"percent": "101", "reason": "x"}, "at most 100"),
        ("payments", {"amount": "-5", "how": "cash"}, "Give back at most 0"),
    ],
)
def test_what_cannot_be_set_is_refused_beside_what_was_typed(colleague: Client, path, typed, said):
    job = lay_out().job()
    answer = post(colleague, job, path, **typed)
    assert answer.status_code == 422
    assert said in words(answer)
    assert not any(model.objects.exists() for model in (HandLine, Discount, Payment))


def test_two_people_setting_prices_do_not_overwrite_each_other(colleague: Client):
    job = lay_out().job()
    outdated = job.version
    advise_belt(colleague, job)
    answer = colleague.post(
        f"/jobs/{job.pk}/discounts/", {"percent": "5", "reason": "x", "version": outdated}
    )
    assert answer.status_code == 409
    assert 'value="5"' in answer.content.decode()
    assert not Discount.objects.exists()


def test_every_figure_unfolds_on_its_page_and_every_mention_leads_to_its_figure(
    colleague: Client, stranger: Client
):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    advise_belt(colleague, job)
    answer = colleague.get(f"/jobs/{job.pk}/explanation/")
    html = answer.content.decode()
    ids = re.findall(r' id="(figure-[^"]+)"', html)
    assert len(ids) == len(set(ids)) > 30
    assert set(re.findall(r'href="#(figure-[^"]+)"', html)) <= set(ids)
    assert "Firm total with tax" in words(answer)
    assert stranger.get(f"/jobs/{job.pk}/explanation/").status_code == 302
