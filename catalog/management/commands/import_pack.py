"""manage.py import_pack DIR [--dry-run]"""

from argparse import ArgumentParser
from io import StringIO
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from rich import box
from rich.console import Console
from rich.markup import escape
from rich.progress import Progress
from rich.table import Table

from catalog.actions import import_pack
from catalog.packs.report import ImportReport
from shop.rules.errors import Refused


class Command(BaseCommand):
    help = "Load a data pack: a folder with datapackage.json and CSV files. All of it is taken, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("directory", type=Path, metavar="DIR", help="the folder of the pack")
        parser.add_argument("--dry-run", action="store_true", help="check and count only, write nothing")

    def handle(self, *args: Any, directory: Path, dry_run: bool, **options: Any) -> None:
        # The bar goes to standard error, so that the summary can be piped on; no bar without a terminal.
        screen = Console(stderr=True)
        try:
            with Progress(console=screen, disable=not screen.is_terminal, transient=True) as bar:
                task = bar.add_task("reading", total=None)
                report = import_pack(
                    directory,
                    dry_run=dry_run,
                    progress=lambda what, done, total: bar.update(
                        task, description=escape(what), completed=done, total=total
                    ),
                )
        except Refused as refused:
            # Exit code 1, and the faults as they stand: one line each.
            raise CommandError(f"{refused}\nNothing was written.") from None
        written = StringIO()
        Console(file=written, width=100, no_color=True).print(summary(report))
        self.stdout.write(written.getvalue() + outcome(report))


def summary(report: ImportReport) -> Table:
    table = Table(title=escape(report.title), title_justify="left", box=box.ASCII)
    table.add_column("table")
    for heading in ("new", "changed", "unchanged"):
        table.add_column(heading, justify="right")
    for count in report.counts:
        table.add_row(count.resource, str(count.new), str(count.changed), str(count.unchanged))
    table.add_section()
    table.add_row("all", str(report.new), str(report.changed), str(report.unchanged))
    return table


def outcome(report: ImportReport) -> str:
    if report.dry_run:
        return "Dry run: the pack is in order, nothing was written."
    if not report.new + report.changed:
        return "Everything was there already, nothing was written."
    return f"{report.new} rows added, {report.changed} changed."
