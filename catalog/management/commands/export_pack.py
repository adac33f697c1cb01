"""manage.py export_pack DIR [--families CODES] [--tables NAMES] [--force]"""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from rich.console import Console
from rich.markup import escape
from rich.progress import Progress

from catalog.packs.export import export_pack
from shop.rules.errors import Refused


class Command(BaseCommand):
    help = "Write the catalogue as a data pack, which import_pack reads: a new folder, whole or not at all."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("directory", type=Path, metavar="DIR", help="the folder to make")
        parser.add_argument(
            "--families",
            type=_listed,
            default=(),
            metavar="CODES",
            help="only these engine families, with all they need: their codes, with commas between them",
        )
        parser.add_argument(
            "--tables",
            type=_listed,
            default=(),
            metavar="NAMES",
            help="only these tables, such as parts,offers",
        )
        parser.add_argument("--name", default="catalogue", help="the name of the pack, in small letters")
        parser.add_argument("--title", default="Catalogue", help="its title")
        parser.add_argument("--force", action="store_true", help="replace the pack that is in the folder")

    def handle(self, *args: Any, directory: Path, **options: Any) -> None:
        screen = Console(stderr=True)
        chosen = {name: options[name] for name in ("families", "tables", "name", "title", "force")}
        try:
            with Progress(console=screen, disable=not screen.is_terminal, transient=True) as bar:
                task = bar.add_task("counting", total=None)
                report = export_pack(
                    directory,
                    **chosen,
                    progress=lambda what, done, total: bar.update(
                        task, description=escape(what), completed=done, total=total
                    ),
                )
        except Refused as refused:
            raise CommandError(f"{refused}\nNothing was written.") from None
        tables = sum(1 for count in report.rows.values() if count)
        self.stdout.write(f"{sum(report.rows.values())} rows of {tables} tables written to {directory}")
        if report.demonstration:
            self.stdout.write("It is marked as demonstration data, not for real work.")


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
