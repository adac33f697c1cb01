"""estimate JOB.json --pdf OUT.pdf [--json OUT.json] [--next-test]: a job file in, a written estimate out."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError
from django.utils import timezone

from catalog.rules.vin import warning
from estimates.builder import build
from estimates.documents.pdf import PdfUnavailable, render_pdf
from estimates.issuing import check_issuable, draft_content, freeze
from estimates.jobfile import check_included, read_job_file
from estimates.next_tests import advice_content, advised, in_lines
from estimates.terminal import console, print_estimate
from shop.files import write_files
from shop.rules.errors import Refused


class Command(BaseCommand):
    help = "Build an estimate from a job file. Nothing is written to the database."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("job", type=Path, metavar="JOB.json", help="the job file; the README shows one")
        parser.add_argument("--pdf", type=Path, metavar="OUT.pdf", help="write the estimate as a PDF")
        parser.add_argument("--json", type=Path, metavar="OUT.json", help="write the canonical document")
        parser.add_argument("--paper", choices=["A4", "Letter"], help="the workshop's own unless given")
        parser.add_argument("--next-test", action="store_true", help="say what to test next")
        parser.add_argument("--quiet", action="store_true", help="print no table")

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.localtime()
        lacking = ""
        try:
            _check_outputs(options["job"], options["pdf"], options["json"])
            job, book = read_job_file(options["job"], now.date())
            built = build(job, now.date(), book=book)
            check_included(job, built.plan)
            check_issuable(built)
            frozen = freeze(draft_content(built, now))
            files: dict[Path, bytes] = {}
            if options["json"]:
                files[options["json"]] = frozen.canonical
            if options["pdf"]:
                paper = options["paper"] or built.workshop.paper
                try:
                    files[options["pdf"]] = render_pdf(frozen.document, sha256=frozen.sha256, paper=paper)
                except PdfUnavailable as missing:
                    lacking = str(missing)  # said last; everything else is still written
            write_files(files)
        except Refused as refusal:
            raise CommandError(
                "\n".join(f"{options['job'].name}: {fault}" for fault in refusal.faults)
            ) from None
        except (OperationalError, ProgrammingError) as error:
            said = str(error).partition("\n")[0]
            raise CommandError(
                f"database: cannot be read ({said}); run 'manage.py demo', or 'manage.py migrate'"
            ) from None
        if not options["quiet"]:
            print_estimate(frozen.document, console(self.stdout))
        if options["next_test"]:
            found = advised(job, book, built.assessment, built.terms, built.plan)
            self.stdout.write("What to test next")
            for line in in_lines(advice_content(found)):
                self.stdout.write(f"  {line}")
        if job.unit.vin and (doubt := warning(job.unit.vin)):
            self.stdout.write(f"unit, vin: {doubt}")
        for path in files:
            self.stdout.write(f"Written: {path}")
        if lacking:
            raise CommandError(lacking)


def _check_outputs(job: Path, *outputs: Path | None) -> None:
    """Two outputs of one name would lose one of them, and the job file is a person's work."""
    named = [path.resolve() for path in outputs if path is not None]
    for path in named:
        if path == job.resolve():
            raise Refused.single(str(path), "is the job file", "name another file")
        if named.count(path) > 1:
            raise Refused.single(str(path), "is asked for twice", "give each output a name of its own")
