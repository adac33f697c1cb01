"""What to test next on the page of a job, and the same through the API."""

import pytest
from desk import CONNECTOR, advise_belt, measure_dead_plug, post, read, words
from django.test import Client
from floor import lay_out

from estimates.models import Job
from shop.models import Workshop

pytestmark = pytest.mark.django_db


def section(client: Client, job: Job) -> str:
    text = words(client.get(f"/jobs/{job.pk}/"))
    return text[text.index("Next test", text.index("The complaint")) : text.index("The estimate")]


def test_the_next_test_is_named_with_its_minutes_its_price_and_what_it_settles(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {**CONNECTOR, "3": "open"})
    page = colleague.get(f"/jobs/{job.pk}/").content.decode()
    text = section(colleague, job)
    # The cover of bank A, 40 minutes, and 6 for the first plug. Tests so far 6 + 7 x 2 = 20 minutes, 0.3 h;
    # with it 66 minutes, 1.1 h: 0.8 h more at 90.00.
    assert "Resistance at the plug, cylinder 3: 46 minutes, adds 72.00 EUR of labour without tax" in text
    assert "rocker cover off and on, bank A, 40 min" in text
    # Plug and lead are both replaced under that cover.
    assert "whichever way the test comes out, so 40 of these minutes are charged once" in text
    assert "1 x rocker-cover gasket, bank A" in text
    # Likelihoods 40 and 10.
    assert "If good (20 %) At fault: glow-plug lead (cylinder 3); sound: glow plug (cylinder 3)." in text
    assert "If bad (80 %) At fault: glow plug (cylinder 3)" in text
    assert "Then firm: Replace glow plug, cylinder 3. No longer quoted: Replace glow-plug lead" in text
    assert f'href="/jobs/{job.pk}/?test=at-plug#entry"' in page
    answer = colleague.get(f"/api/v1/jobs/{job.number}/next-tests/").json()
    assert answer["verdict"] == "test"
    (test,) = answer["tests"]
    assert (test["test_point"], test["position"], test["minutes"], test["price"]) == (
        "at-plug",
        "3",
        46,
        "72.00",
    )
    assert test["bad"]["firm"] == [
        {"operation": "plug-replace", "title": "Replace glow plug", "position": "3", "where": "cylinder 3"}
    ]
    assert [(one["component"], one["chance"]) for one in answer["suspects"]] == [
        ("heater", "0.8000"), ("lead", "0.2000"),
    ]  # fmt: skip


@pytest.mark.databases("sqlite")
def test_the_likelihoods_are_shown_and_who_may_change_them_is_led_there(owner: Client, colleague: Client):
    job = lay_out().job()
    assert "Glow plug, cylinders 1, 2, 3, 4, 5, 6, 7 and 8 9 % each 40" in section(colleague, job)
    assert "Change the likelihoods" not in section(colleague, job)
    link = "/admin/catalog/component/?q=hg-v8"
    assert link in owner.get(f"/jobs/{job.pk}/").content.decode()
    assert "relative likelihood" in section(colleague, job)
    page = words(owner.get(link))
    assert "glow plug" in page
    assert "40" in page


@pytest.mark.databases("sqlite")
def test_enough_is_known_when_the_plug_is_proved_dead(colleague: Client):
    job = lay_out().job()
    measure_dead_plug(colleague, job)
    assert "Enough is known. Every bad reading is accounted for by glow plug (cylinder 3)" in section(
        colleague, job
    )


@pytest.mark.databases("sqlite")
def test_access_that_firm_work_opens_in_any_case_is_not_charged_with_the_test(colleague: Client):
    job = lay_out().job()
    read(colleague, job, "at-connector", {"7": "open"})
    assert "Firm work opens it" not in section(colleague, job)
    found = {"component": "heater", "position": "6", "standing": "confirmed", "quantity": "1"}
    assert post(colleague, job, "findings", **found, reason="tip burnt off").status_code == 302
    text = section(colleague, job)
    # 46 minutes now; the firm work on plug 6 takes the same cover off, so the test adds 6 to it: 0.1 h.
    assert "Resistance at the plug, cylinder 7: 46 minutes, adds 9.00 EUR" in text
    assert "Firm work opens it in any case, so 40 of these minutes are not charged again." in text


@pytest.mark.databases("sqlite")
def test_without_the_terms_of_the_shop_the_section_says_where_to_look(colleague: Client):
    job = lay_out().job()
    advise_belt(colleague, job)
    Workshop.objects.all().delete()
    assert "worked out once an estimate can be" in section(colleague, job)
