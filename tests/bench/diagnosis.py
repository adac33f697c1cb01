"""How long a diagnosis takes beside what cannot be avoided, and how it grows with the engine, in one run.

    uv run tests/bench/diagnosis.py

The engine has one relay and one ground for all, and a harness, a connector and a heater for each cylinder:
five components in each circuit. Every cylinder reads bad twice, over all five and over three of them, and
nothing that the circuits share is cleared, so the relay alone accounts for it, and so does one fault on every
cylinder, in 2 to the number of cylinders ways. A third and a fourth test are good or too close to call. With
16 cylinders that makes 60 readings.

The floor is the statements that read the job and its service data, through the same query functions, with
nothing judged. Deciding everything (judging, comparing peers, diagnosing, advising on the next test) is held
against it too, and beside it stands what of that the search for the likeliest fault sets takes alone. Each
pair is timed in turn and the ratio of medians stands beside the stated limit; nothing is asserted. Runs on
SQLite in a temporary folder, on an empty database of your own where DATABASE_URL names one.
"""

import os
import statistics
import sys
import tempfile
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))
os.environ["TALLYBORE_DATA"] = tempfile.mkdtemp(prefix="tallybore-bench-")
os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.utils import timezone  # noqa: E402
from timing import in_turn, tell  # noqa: E402

from catalog.models import AccessStep, Component, EngineFamily, Maker, Position, TestPoint  # noqa: E402
from catalog.models import TestPointAccess as Access  # noqa: E402
from catalog.models import TestPointComponent as Through  # noqa: E402
from estimates.actions import keep_job  # noqa: E402
from estimates.builder import book_of  # noqa: E402
from estimates.jobfile import job_from  # noqa: E402
from estimates.models import Job  # noqa: E402
from estimates.queries import job_in  # noqa: E402
from estimates.rules.judging import assess  # noqa: E402
from estimates.rules.likeliest import likeliest  # noqa: E402
from estimates.rules.next_test import next_tests  # noqa: E402
from estimates.rules.standings import sift  # noqa: E402

SIZES = (4, 8, 16, 24)
ROUNDS = 40
NOW = timezone.localtime()
SCOPE = {
    "relay": "engine", "ground": "engine", "harness": "cylinder", "connector": "cylinder",
    "heater": "cylinder", "seat": "cylinder",
}  # fmt: skip
PATHS = {
    "current": ("relay", "harness", "connector", "heater", "ground"),
    "voltage": ("relay", "harness", "connector"),
    "seat": ("seat",),
    "warm": ("heater",),
    "direct": ("heater",),
    "lead": ("harness",),
}
READ = {"current": "9", "voltage": "9", "seat": "1", "warm": "2"}  # good to 2 with an accuracy of 0.1


def engine(cylinders: int) -> str:
    """The family on record; every test is good up to 2.0, at each cylinder under a cover of its own."""
    maker, _ = Maker.objects.get_or_create(code="bench", name="Bench")
    family = EngineFamily.objects.create(
        code=f"bench-{cylinders}", maker=maker, name="Bench", layout="inline", cylinders=cylinders,
        voltage=24, numbering="iso-1204",
    )  # fmt: skip
    Position.objects.create(family=family, code="engine", scope="engine", ordinal=0)
    for n in range(1, cylinders + 1):
        Position.objects.create(family=family, code=str(n), scope="cylinder", ordinal=n)
    components = {
        code: Component.objects.create(
            family=family, code=code, name=code, scope=scope, likelihood=Decimal(2 + len(code))
        )
        for code, scope in SCOPE.items()
    }
    cover = AccessStep.objects.create(family=family, code="cover", name="cover", scope="cylinder", minutes=20)
    for code, path in PATHS.items():
        point = TestPoint.objects.create(
            family=family, code=code, name=code, scope="cylinder", kind="number", unit="V", places=1,
            maximum=Decimal(2), minutes=5, minutes_further=2,
        )  # fmt: skip
        Access.objects.create(test_point=point, step=cover)
        for ordinal, component in enumerate(path):
            Through.objects.create(test_point=point, component=components[component], ordinal=ordinal)
    return family.code


def job_of(cylinders: int) -> Job:
    """A job whose circuits all read bad; one cylinder in 8 has neither a third nor a fourth reading."""
    readings = [
        {"test_point": code, "position": str(n), "value": value}
        for n in range(1, cylinders + 1)
        for code, value in READ.items()
        if code in ("current", "voltage") or n % 8
    ]
    raw = {
        "complaint": "Benchmark",
        "unit": {"name": "Bench", "family": engine(cylinders)},
        "meter": {"accuracy_percent": "0", "accuracy_counts": 1, "resolution": "0.1"},
        "readings": readings,
    }
    intake, _ = job_from(raw, NOW.date())
    row = keep_job(intake, by=None, at=NOW)
    return Job.objects.select_related("unit__customer", "unit__family").get(pk=row.pk)


def reads(job: Job) -> tuple[Any, Any]:
    book = book_of(job.unit.family.code)
    return book, job_in(job, book.family)


def main() -> None:
    call_command("migrate", verbosity=0)
    grown = []
    for cylinders in SIZES:
        job = job_of(cylinders)
        book, brought = reads(job)
        assessment = assess(book, brought.readings, [])
        sifted = sift(assessment.evidence)
        counts = [int(book.components[at.component].likelihood) for at in sifted.components]
        advice = next_tests(book, assessment, [])

        def ours(_: int, job: Job = job) -> Any:
            book, brought = reads(job)
            return next_tests(book, assess(book, brought.readings, []), [])

        def decided(_: int, book: Any = book, brought: Any = brought) -> Any:
            return next_tests(book, assess(book, brought.readings, []), [])

        def searched(_: int, family: Any = sifted.family, counts: Any = counts) -> Any:
            return likeliest(family, counts, limit=50)

        whole = in_turn(range(ROUNDS), ours, lambda _, job=job: reads(job))
        apart = in_turn(range(ROUNDS), decided, lambda _, job=job: reads(job))
        alone = in_turn(range(ROUNDS), decided, searched)
        count = len(brought.readings)
        grown.append((cylinders, count, statistics.median(apart.ours)))
        told = f"{cylinders} cylinders, {count} readings, {len(assessment.findings)} suspects"
        print(f"{told}; next: {advice.tests[0].card.code}, {len(advice.tests)} in all")
        if cylinders == 16:
            tell("  read, judged, diagnosed, advised, against the reads alone", whole, 2.0)
            tell("  judged, diagnosed, advised, against the reads alone", apart, 1.0)
            print(
                f"  of which the search for the likeliest fault sets: {statistics.median(alone.bare):.2f} ms"
            )
    print("Growth of judging, diagnosing and advising:")
    for (few, fewer, before), (many, more, after) in pairwise(grown):
        told = f"{few} to {many} cylinders, {fewer} to {more} readings: {before:.2f} to {after:.2f} ms"
        print(f"  {told}, x {after / before:.2f}")


if __name__ == "__main__":
    main()
