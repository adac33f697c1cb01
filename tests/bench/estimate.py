"""How long an estimate of 40 findings takes beside what cannot be avoided, in one run.

    uv run tests/bench/estimate.py            SQLite in a temporary folder
    DATABASE_URL=... uv run tests/bench/estimate.py     an empty PostgreSQL database of your own

Building is compared with its database queries alone, in two ways: the same reads through the same query
functions, with nothing decided; and, as the lowest floor there is, the very statements of one build run
again through the bare driver, every row fetched and none turned into a date, a decimal or a value. The PDF
is compared with WeasyPrint rendering the same finished HTML. Each pair is timed turn by turn and the ratio of
medians is printed beside the stated limit; nothing is asserted.
"""

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ["TALLYBORE_DATA"] = tempfile.mkdtemp(prefix="tallybore-bench-")
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection  # noqa: E402
from django.utils import timezone  # noqa: E402

from catalog.actions import import_pack  # noqa: E402
from catalog.models import EngineFamily  # noqa: E402
from catalog.queries import family_cards  # noqa: E402
from catalog.service_queries import service_book  # noqa: E402
from estimates.actions import keep_job  # noqa: E402
from estimates.builder import book_of, build_for  # noqa: E402
from estimates.documents.pdf import render_html, render_pdf, write_pdf  # noqa: E402
from estimates.issuing import draft_content, freeze  # noqa: E402
from estimates.jobfile import job_from  # noqa: E402
from estimates.models import Job  # noqa: E402
from estimates.queries import job_in, market_for, terms_of, the_workshop  # noqa: E402
from estimates.rules.workload import workload  # noqa: E402
from shop.actions import set_up_workshop  # noqa: E402

TODAY = timezone.localtime()
ROUNDS = 40


def job_of(count: int, number: str) -> Job:
    """A job with `count` findings spread over the components and places of the largest demo family."""
    family = EngineFamily.objects.order_by("-cylinders", "code")[0].code
    book = service_book(family_cards([family])[family])
    spots = [
        (component, place.code)
        for component in sorted(
            book.components.values(), key=lambda c: (c.code not in book.repair_of, c.code)
        )
        for place in book.family.of_scope(component.scope)
    ]
    standings = ("confirmed", "suspected", "advisory", "confirmed")
    findings = [
        {
            "component": component.code,
            "position": place,
            "standing": standings[n % 4],
            "reason": "seen on opening",
        }
        for n, (component, place) in enumerate(spots[:count])
    ]
    assert len(findings) == count
    raw = {
        "complaint": "Benchmark",
        "unit": {"name": number, "family": family, "built": "2014"},
        "findings": findings,
    }
    intake, _ = job_from(raw, TODAY.date())
    keep_job(intake, by=None, at=TODAY, number=number)
    return Job.objects.select_related("unit__customer", "unit__family").get(number=number)


def statements_of(work: Callable[[], Any]) -> list[tuple[str, Any]]:
    """Every statement with its parameters that `work` sends."""
    sent: list[tuple[str, Any]] = []

    def note(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        sent.append((sql, params))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        work()
    return sent


def bare(sent: list[tuple[str, Any]]) -> int:
    """The same statements through the driver's own cursor; returns the number of rows fetched."""
    rows = 0
    raw = connection.connection
    for sql, params in sent:
        cursor = raw.cursor()
        cursor.execute(sql.replace("%s", "?") if connection.vendor == "sqlite" else sql, params)
        rows += len(cursor.fetchall())
        cursor.close()
    return rows


def compare(name: str, mine: Callable[[], Any], floor: Callable[[], Any], limit: float, rounds: int) -> None:
    """Time both in turn; print medians, spread and ratio."""
    times: tuple[list[float], list[float]] = ([], [])
    mine(), floor()
    for _ in range(rounds):
        for work, taken in zip((mine, floor), times, strict=True):
            start = time.perf_counter()
            work()
            taken.append((time.perf_counter() - start) * 1000)
    middle = [statistics.median(taken) for taken in times]
    ratio = middle[0] / middle[1]
    print(
        f"{name}: {middle[0]:.2f} ms (from {min(times[0]):.2f} to {max(times[0]):.2f}) "
        f"against {middle[1]:.2f} ms; ratio {ratio:.2f}, limit {limit}, "
        f"{'within' if ratio <= limit else 'MISSED'}"
    )


def main() -> None:
    call_command("migrate", verbosity=0)
    import_pack(ROOT / "fixtures" / "demo")
    set_up_workshop(ROOT / "fixtures" / "workshop.json")
    today = TODAY.date()
    print(f"Database: {connection.vendor}")
    jobs = {count: job_of(count, f"B{count}") for count in (1, 10, 40)}
    for count, job in jobs.items():
        sent = statements_of(lambda job=job: build_for(job, today))
        built = build_for(job, today)
        items = built.priced.items
        lines = sum(len(item.lines) for item in items)
        print(f"{count} findings: {len(sent)} queries, {bare(sent)} rows, {len(items)} items, {lines} lines")
    job = jobs[40]
    sent = statements_of(lambda: build_for(job, today))
    types = {need.part_type for need in workload(built.plan.items, built.plan.steps).needs.values()}

    def reads() -> None:
        book = book_of(job.unit.family.code)
        job_in(job, book.family)
        terms_of(the_workshop())
        market_for(book.family.code, types, today)

    compare("Build of 40 findings against its reads", lambda: build_for(job, today), reads, 2.0, ROUNDS)
    compare(
        "The same against the bare driver", lambda: build_for(job, today), lambda: bare(sent), 2.0, ROUNDS
    )
    frozen = freeze(draft_content(build_for(job, today), TODAY))
    html = render_html(frozen.document, sha256=frozen.sha256, paper="A4")
    compare(
        "PDF of that estimate",
        lambda: render_pdf(frozen.document, sha256=frozen.sha256, paper="A4"),
        lambda: write_pdf(html),
        1.15,
        5,
    )


if __name__ == "__main__":
    main()
