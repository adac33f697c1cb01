"""What hands do on the job page, for the browser tests."""

from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone
from floor import lay_out

from estimates.actions import save_finding, save_reading
from estimates.builder import book_of
from estimates.issuing import issue
from estimates.models import Job
from estimates.rules.entry import finding_entry, reading_entry
from shop.rules.entry import Faults

TOTAL = ".running span:first-child strong"


def enter(page: Any, test: str, values: dict[str, str]) -> None:
    """Choose a test point, fill its positions in, save."""
    page.select_option("#test", label=test)
    page.wait_for_selector(f"#rows strong:has-text('{test}')")
    page.fill("#id_zero", "0.10")
    for place, value in values.items():
        if value == "open":
            page.check(f"#id_open-{place}")
        else:
            page.fill(f"#id_value-{place}", value)
    page.click("text=Save and judge")


def wait_for_firm(page: Any, amount: str) -> None:
    """Until the first of the three totals, the firm one, reads so."""
    page.wait_for_selector(f".running span:first-child strong:has-text('{amount}')")


def with_dead_plug(page: Any, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/")
    enter(page, "Resistance at the connector", {**{str(n): "0.95" for n in range(1, 9)}, "3": "open"})
    enter(page, "Resistance at the plug", {"3": "open"})


def with_belt(page: Any) -> None:
    page.click("text=Write down what you found yourself")
    page.select_option("#id_component", label="drive belt")
    page.select_option("#id_position", label="the engine")
    page.select_option("#id_standing", "advisory")
    page.fill("#id_reason", "ribs frayed")
    page.click("text=Save the finding")


def top_of(page: Any, selector: str) -> float:
    return float(page.evaluate("s => document.querySelector(s).getBoundingClientRect().top", selector))


def a_full_job(user: User) -> Job:
    """A job with readings, a finding and an issued estimate, written down without the browser."""
    job, faults, now = lay_out().job(user), Faults(), timezone.localtime()
    book = book_of(job.unit.family.code)
    taken = [("at-connector", str(n), "open" if n == 3 else "0.85") for n in range(1, 9)]
    for test, place, value in [*taken, ("at-plug", "3", "open"), ("relay-lamp", "engine", "off")]:
        reading = reading_entry({"test_point": test, "position": place, "value": value}, "r", book, faults)
        assert reading is not None, faults
        save_reading(job, reading, by=user, at=now)
    found = {"component": "belt", "standing": "advisory", "reason": "ribs frayed"}
    judged = finding_entry(found, "f", book, faults)
    assert judged is not None, faults
    save_finding(job, judged, by=user, at=now)
    job.refresh_from_db()
    issue(job, by=user, at=now)
    return job
