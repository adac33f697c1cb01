"""demo: from nothing to an issued estimate, on data that ships with the project."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from estimates.demo import the_demonstration
from estimates.documents.pdf import PdfUnavailable
from estimates.models import IssuedEstimate
from estimates.story import story
from estimates.terminal import console, print_estimate
from shop.files import write_files
from shop.rules.errors import Refused


class Command(BaseCommand):
    help = "Set up the demonstration and run one complete job. Safe to run again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--pdf", type=Path, metavar="OUT.pdf", help="where to write the estimate")
        parser.add_argument(
            "--story", action="store_true", help="tell the whole job in twelve lines; nothing of it stays"
        )
        parser.add_argument("--new-password", action="store_true", help="give the demo user a new password")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0, interactive=False)
        try:
            shown = the_demonstration(timezone.localtime(), new_password=options["new_password"])
            if options["story"]:
                self._tell(shown.user)
                return
            path = self._written(shown.estimate, options["pdf"])
        except Refused as refusal:
            raise CommandError("\n".join(str(fault) for fault in refusal.faults)) from None
        print_estimate(shown.document, console(self.stdout))
        self.stdout.write("")
        if path:
            self.stdout.write(f"The estimate as the customer gets it: {path}")
        else:
            self.stdout.write(f"{shown.lacking}; then run this again.")
        self.stdout.write("The pages: uv run manage.py runserver, then open http://127.0.0.1:8000/")
        if shown.password:
            self.stdout.write(
                f"Sign in as {shown.user.get_username()} with the one-time password {shown.password}"
            )
        else:
            self.stdout.write(
                f"Sign in as {shown.user.get_username()} with the password printed the first time "
                "(--new-password makes another)."
            )

    def _tell(self, user: AbstractUser) -> None:
        try:
            for line in story(timezone.localtime(), by=user):
                self.stdout.write(line)
        except PdfUnavailable as missing:
            raise CommandError(f"{missing}; then run this again.") from None

    def _written(self, estimate: IssuedEstimate | None, wanted: Path | None) -> Path | None:
        if estimate is None:
            return None
        file = estimate.files.get(media_type="application/pdf")
        path = wanted or Path(settings.DATA_DIR) / file.name
        write_files({path: bytes(file.content)})
        return path
