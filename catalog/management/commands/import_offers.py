"""manage.py import_offers FILE --supplier CODE [--dry-run] [--complete] ..."""

from argparse import ArgumentParser
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from rich.console import Console
from rich.markup import escape
from rich.progress import Progress

from catalog.offers.held import decide, waiting_for
from catalog.offers.reading import DELIMITERS, Reading, parse_columns
from catalog.offers.report_file import check_name, write_report
from catalog.offers.take import Asked, Who, import_offers, supplier_coded
from catalog.offers.terminal import held_table, told
from catalog.rules.pricetext import SIGNS
from shop.rules.errors import Refused


class Command(BaseCommand):
    help = (
        "Take in a supplier's price file (CSV or .xlsx): all of it, or nothing. Prices that jump are held"
        " until somebody accepts or refuses them."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        say = parser.add_argument
        say("file", type=Path, nargs="?", metavar="FILE", help="the price file")
        say("--supplier", required=True, metavar="CODE", help="whose prices these are")
        say("--dry-run", action="store_true", help="check and compare only, write nothing")
        say("--report", type=Path, metavar="OUT", help="every line of the report, as .json or .csv")
        say(
            "--valid-from",
            metavar="DATE",
            help="first day of the prices, such as 2026-03-01; today otherwise",
        )
        say(
            "--complete",
            action="store_true",
            help="the file holds everything they sell: end what is not in it",
        )
        say("--hold", metavar="PERCENT", help="hold bigger moves; the supplier's own figure otherwise")
        say("--known-only", action="store_true", help="leave out rows whose part is not on record")
        say("--again", action="store_true", help="even if this very file was the last one")
        how = parser.add_argument_group("how the file is read (kept with the supplier for the next one)")
        how.add_argument(
            "--columns", default="", metavar="LIST", help='our name=their header, "price=Netto,number=Art.Nr"'
        )
        how.add_argument("--brand", default="", help="code or name, where the whole file is of one brand")
        how.add_argument("--delimiter", choices=DELIMITERS, help="between the cells; found out otherwise")
        how.add_argument("--decimal", choices=SIGNS, default="", help="the sign before decimals")
        how.add_argument("--header-row", type=int, default=1, metavar="N", help="where the headers stand")
        how.add_argument("--sheet", default="", help="of a workbook with several")
        held = parser.add_argument_group("prices held earlier")
        held.add_argument("--held", action="store_true", help="list those that wait")
        held.add_argument("--accept", nargs="+", metavar="ID", help="write them as offers; all for every one")
        held.add_argument("--refuse", nargs="+", metavar="ID", help="drop them; all for every one")

    def handle(self, *args: Any, file: Path | None, **options: Any) -> None:
        now = timezone.localtime()
        who = Who(at=now, today=now.date())
        try:
            if file is not None:
                if options["accept"] or options["refuse"]:
                    raise CommandError("Decide on held prices in a call of its own, without a file.")
                self._take(file, who, options)
            elif not any(options[name] for name in ("held", "accept", "refuse")):
                raise CommandError("Name a price file, or one of --held, --accept and --refuse.")
            self._held(who, options)
        except Refused as refused:
            raise CommandError(f"{refused}\nNothing was written.") from None

    def _take(self, file: Path, who: Who, options: dict[str, Any]) -> None:
        out: Path | None = options["report"]
        if out is not None:
            check_name(out)
        asked = asked_for(options)
        # The bar goes to standard error, so that the report can be piped on; no bar without a terminal.
        screen = Console(stderr=True)
        with Progress(console=screen, disable=not screen.is_terminal, transient=True) as bar:
            task = bar.add_task("reading", total=1000)
            difference = import_offers(
                file,
                options["supplier"],
                asked,
                who,
                dry_run=options["dry_run"],
                progress=lambda what, done: bar.update(task, description=escape(what), completed=done),
                report=None if out is None else lambda found, lines: write_report(out, found, lines),
            )
        self.stdout.write(told(difference))

    def _held(self, who: Who, options: dict[str, Any]) -> None:
        supplier = supplier_coded(options["supplier"])
        for name, accept in (("accept", True), ("refuse", False)):
            if options[name]:
                rows = decide(supplier, ids_of(name, options[name]), who, accept=accept)
                done = "accepted and written" if accept else "refused"
                self.stdout.write(f"{len(rows)} held price{'s' * (len(rows) != 1)} {done}.")
        if options["held"]:
            rows = list(waiting_for(supplier))
            self.stdout.write(held_table(rows, supplier.currency) if rows else "No price is held.")


def asked_for(options: dict[str, Any]) -> Asked:
    reading = Reading(
        columns=parse_columns(options["columns"]),
        brand=options["brand"],
        delimiter=DELIMITERS.get(options["delimiter"], ""),
        decimal=options["decimal"],
        header_row=options["header_row"],
        sheet=options["sheet"],
    )
    if reading.header_row < 1:
        raise Refused.single("--header-row", f"there is no row {reading.header_row}", "give 1 or more")
    return Asked(
        reading=reading,
        valid_from=_day(options["valid_from"]),
        complete=options["complete"],
        hold_percent=_percent(options["hold"]),
        known_only=options["known_only"],
        again=options["again"],
    )


def _day(text: str | None) -> date | None:
    try:
        return None if text is None else date.fromisoformat(text)
    except ValueError:
        raise Refused.single("--valid-from", f"'{text}' is not a date", "write it as 2026-03-01") from None


def _percent(text: str | None) -> Decimal | None:
    try:
        value = None if text is None else Decimal(text)
    except InvalidOperation:
        value = Decimal("NaN")
    if value is not None and not (value.is_finite() and value == round(value, 1)):
        raise Refused.single("--hold", f"'{text}' is not a percentage", "give one such as 25 or 7.5")
    return value


def ids_of(name: str, texts: list[str]) -> list[int] | None:
    """Primary keys as typed; None for "all"."""
    if texts == ["all"]:
        return None
    for text in texts:
        if not text.isascii() or not text.isdigit() or len(text) > 15:
            raise Refused.single(f"--{name}", f"'{text}' is no id", "give ids from --held, or all")
    return [int(text) for text in texts]
