"""A job from the first word to the issued estimate, in a browser, as the people at the desk do it."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User
from floor import lay_out
from hands import TOTAL, top_of, wait_for_firm, with_belt, with_dead_plug

from estimates.models import IssuedEstimate, Job

pytestmark = [pytest.mark.browser, pytest.mark.databases("sqlite"), pytest.mark.django_db(transaction=True)]


def test_from_signing_in_to_the_issued_pdf(open_page: Callable[..., Any], user: User, tmp_path: Path) -> None:
    lay_out()
    page = open_page(None)
    page.goto("/jobs/")
    page.fill("[name=username]", "wren")
    page.fill("[name=password]", "only for this test")
    page.click("main button[type=submit]")

    page.click("text=Open a job")
    page.click("text=A new customer")
    page.fill("#id_customer_name", "Otter Ferries")
    page.select_option("#id_family", label="Harrowgate V8")
    page.wait_for_selector("#id_option-connector")  # asked for as soon as the family is known
    page.fill("#id_name", "Ferry, port engine")
    page.fill("#id_complaint", "Smokes white for a minute.")
    page.click("text=Open the job")

    job = Job.objects.get()
    with_dead_plug(page, job)
    assert "Glow plug, cylinder 3: confirmed" in page.inner_text("#findings")
    assert page.locator("#readings svg[role=img]").count() == 1
    with_belt(page)

    assert page.inner_text(TOTAL) == "219.60\xa0EUR"  # by hand in test_web_jobs_estimate.py
    page.evaluate("window.sameDocument = true")
    page.check("#take-belt-replace-engine")
    wait_for_firm(page, "295.20")
    assert page.evaluate("window.sameDocument"), "the page was loaded again"
    assert "Firm total now 295.20" in page.inner_text("#said")
    page.uncheck("#take-belt-replace-engine")
    wait_for_firm(page, "219.60")

    page.click("text=Issue revision 1")
    with page.expect_download() as download:
        page.click("#issue a:has-text('PDF of revision 1')")
    saved = tmp_path / download.value.suggested_filename
    download.value.save_as(saved)
    assert saved.name == f"E-{job.number}-1.pdf"
    assert saved.read_bytes() == bytes(IssuedEstimate.objects.get().files.get(name=saved.name).content)


def test_after_a_switch_every_other_form_of_the_page_still_works(
    open_page: Callable[..., Any], user: User
) -> None:
    job = lay_out().job()
    page = open_page(user)
    with_dead_plug(page, job)
    with_belt(page)
    page.select_option("#test", label="Test lamp behind the relay")
    page.wait_for_selector("#id_value-engine")
    page.check("#take-belt-replace-engine")
    wait_for_firm(page, "295.20")
    page.select_option("#id_value-engine", "on")
    page.click("text=Save and judge")
    assert "Not saved" not in page.inner_text("main")
    assert "lamp on" in page.inner_text("#readings")


def test_a_switch_stays_where_it_is_on_the_screen(open_page: Callable[..., Any], user: User) -> None:
    job = lay_out().job()
    page = open_page(user)
    with_dead_plug(page, job)
    with_belt(page)
    switch = page.locator("#take-belt-replace-engine")
    switch.scroll_into_view_if_needed()
    before = top_of(page, "#take-belt-replace-engine")
    switch.check()
    wait_for_firm(page, "295.20")
    page.wait_for_timeout(300)  # until all has settled
    assert abs(top_of(page, "#take-belt-replace-engine") - before) < 2


def test_without_script_the_switches_are_sent_by_a_button(open_page: Callable[..., Any], user: User) -> None:
    job = lay_out().job()
    page = open_page(user, java_script_enabled=False)
    page.goto(f"/jobs/{job.pk}/")
    with_belt(page)
    assert page.inner_text(TOTAL).startswith("0.00")
    page.check("#take-belt-replace-engine")
    page.click("#choices noscript button")
    # 22 min are 0.367 h, billed 0.4 h: 36.00; the belt 18.00 and half as much again 27.00; 20 % tax.
    assert page.inner_text(TOTAL) == "75.60\xa0EUR"
