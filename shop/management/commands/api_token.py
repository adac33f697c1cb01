"""manage.py api_token USERNAME: a token for a program that calls the API."""

from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from knox.models import AuthToken

DAYS = 365
MOST_DAYS = 3650


class Command(BaseCommand):
    help = (
        "Make a token for the API and show it once; only a digest of it is kept. It may read whatever its "
        "user may read, and write what the user's permissions allow: give a program that only reads a user "
        "of its own."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument(
            "--expires-days", type=int, default=DAYS, metavar="N",
            help=f"days until it ends, 1 to {MOST_DAYS}; {DAYS} unless given",
        )  # fmt: skip
        parser.add_argument(
            "--revoke-all", action="store_true", help="end all tokens of the user now, and make none"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        name, days = options["username"], options["expires_days"]
        user = get_user_model().objects.filter(username=name).first()
        if user is None:
            raise CommandError(
                f"USERNAME: there is no user '{name}'; make one with createsuperuser or in the admin"
            )
        if options["revoke_all"]:
            count = AuthToken.objects.filter(user=user).delete()[0]
            self.stdout.write(f"{count} token{'' if count == 1 else 's'} of {name} ended.")
            return
        if not user.is_active:
            raise CommandError(f"USERNAME: the account '{name}' is closed; open it in the admin first")
        if not 1 <= days <= MOST_DAYS:
            raise CommandError(f"--expires-days: {days} is not a life for a token; give 1 to {MOST_DAYS}")
        _, token = AuthToken.objects.create(user, expiry=timedelta(days=days))
        ends = timezone.localdate() + timedelta(days=days)
        # The token alone on standard output, so that a script can take it; the words beside it.
        self.stderr.write(f"Token of {name}, until {ends}. It is not shown again. Send it as:")
        self.stderr.write("Authorization: Token <the line below>")
        self.stdout.write(token)
