"""Pages anybody can use: on a small phone, with a screen reader, by keyboard alone."""

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from floor import lay_out
from hands import a_full_job, wait_for_firm

from estimates.links import make_link
from estimates.models import IssuedEstimate, Job

pytestmark = [pytest.mark.browser, pytest.mark.databases("sqlite"), pytest.mark.django_db(transaction=True)]
PAGES = ("/sign-in/", "/jobs/", "/jobs/{pk}/", "/jobs/{pk}/?test=at-connector", "/counter/",
         "/jobs/open/?q=marten", "/jobs/open/?new=1&family=hg-v8", "/your-estimate/{secret}/")  # fmt: skip
WITHOUT_SIGNING_IN = ("/sign-in/", "/your-estimate/{secret}/")


def private_link(job: Job, user: User) -> str:
    """The secret of a link to what was issued for the job."""
    return make_link(job.estimates.get(), by=user, at=timezone.localtime())[1]


def test_no_page_is_wider_than_a_small_phone(open_page: Callable[..., Any], user: User) -> None:
    job = a_full_job(user)
    page, stranger, secret = open_page(user, width=360), open_page(None, width=360), private_link(job, user)
    for path in PAGES:
        shown = stranger if path in WITHOUT_SIGNING_IN else page
        shown.goto(path.format(pk=job.pk, secret=secret))
        for details in shown.locator("details > summary").all():
            details.click()
        assert shown.evaluate("document.documentElement.scrollWidth") <= 360, path


@pytest.mark.parametrize("width", [1280, 360])
def test_no_page_has_a_serious_or_critical_barrier(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]], width: int
) -> None:
    job = a_full_job(user)
    page, stranger, secret = (
        open_page(user, width=width),
        open_page(None, width=width),
        private_link(job, user),
    )
    for path in PAGES:
        shown = stranger if path in WITHOUT_SIGNING_IN else page
        shown.goto(path.format(pk=job.pk, secret=secret))
        for details in shown.locator("details > summary").all():
            details.click()
        assert axe(shown) == [], path


def test_the_check_for_barriers_finds_one_that_is_there(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]]
) -> None:
    page = open_page(user)
    page.goto("/jobs/")
    page.evaluate("document.querySelector('[for=q]').remove(); document.getElementById('q').placeholder = ''")
    assert [one.split(":")[0] for one in axe(page)] == ["label"]


def test_a_page_with_faults_has_no_barrier_either(
    open_page: Callable[..., Any], user: User, axe: Callable[[Any], list[str]]
) -> None:
    page = open_page(user)
    page.goto(f"/jobs/{a_full_job(user).pk}/?test=at-connector")
    page.fill("#id_value-4", "0,95")
    page.click("text=Save and judge")
    assert "Write a point, not a comma" in page.inner_text("#id_value-4_error")
    assert axe(page) == []


def tab_to(page: Any, name: str) -> None:
    """Tab until what has the focus is called so; it has to be in sight, not under the bar of totals."""
    for _ in range(120):
        page.keyboard.press("Tab")
        called = page.evaluate(
            """() => { const e = document.activeElement;
            return (e.labels && e.labels[0] || e).innerText.trim() }"""
        )
        if called.startswith(name):
            seen = page.evaluate(
                """() => { const e = document.activeElement, r = e.getBoundingClientRect();
                const top = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
                return !!top && (e.contains(top) || top.contains(e)) }"""
            )
            assert seen, f"{name} has the focus and cannot be seen"
            return
    raise AssertionError(f"{name} is not reached with the Tab key")


def test_a_job_can_be_done_by_keyboard_alone(open_page: Callable[..., Any], user: User) -> None:
    lay_out().job()
    page = open_page(user)
    page.goto("/jobs/")
    press, write = page.keyboard.press, page.keyboard.type
    tab_to(page, "Skip to the content")
    press("Enter")
    tab_to(page, "Open a job")
    press("Enter")
    page.wait_for_url("**/jobs/open/")
    tab_to(page, "Customer or machine")
    write("marten")
    press("Enter")
    page.wait_for_selector("#found")
    tab_to(page, "Hay baler")
    press("Enter")
    page.wait_for_selector("#id_complaint")
    tab_to(page, "Complaint")
    write("Belt squeals.")
    tab_to(page, "Open the job")
    press("Enter")
    page.wait_for_selector("#findings")
    tab_to(page, "Write down what you found yourself")
    press("Enter")
    tab_to(page, "What")
    write("drive")
    tab_to(page, "How sure")
    write("can")
    tab_to(page, "What was seen")
    write("ribs frayed")
    press("Enter")
    page.wait_for_selector("#take-belt-replace-engine")
    tab_to(page, "Replace drive belt")
    press("Space")
    wait_for_firm(page, "75.60")
    assert page.evaluate("document.activeElement.id") == "take-belt-replace-engine"
    tab_to(page, "Issue revision 1")
    press("Enter")
    page.wait_for_selector("text=is issued, valid until")
    assert str(IssuedEstimate.objects.get().firm_total) == "75.6000"
