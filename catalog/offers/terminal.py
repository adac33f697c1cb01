"""The difference report for a terminal: plain tables, the largest moves first."""

from io import StringIO

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from catalog.models import HeldPrice
from catalog.offers.difference import Difference, Line
from catalog.offers.held import move_of
from shop.rules.currency import format_money

TITLES = {
    "held": "Held for a person: the price moves by more than {percent} %",
    "changed": "Changed",
    "new": "New",
    "gone": "Not in this file, offered before",
}
WIDTH = 100


def told(difference: Difference) -> str:
    """The whole report as text."""
    if difference.taken_before:
        return (
            f"This very file was taken in on {difference.taken_before}: nothing was written."
            " --again takes it in once more."
        )
    text = StringIO()
    console = Console(file=text, width=WIDTH, no_color=True)
    for kind, title in TITLES.items():
        if difference.count(kind):
            console.print(_table(difference, kind, title))
            if rest := difference.count(kind) - len(difference.lines.get(kind, ())):
                console.print(f"... and {rest} more")
    for warning in difference.warnings:
        console.print(f"Note: {escape(warning)}.")
    return text.getvalue() + summary(difference)


def _table(difference: Difference, kind: str, title: str) -> Table:
    heading = title.format(percent=f"{difference.hold_percent.normalize():f}")
    table = Table(title=heading, title_justify="left", box=box.ASCII)
    for name in ("part", "their number"):
        table.add_column(name)
    for name in ("row", "old", "new", "by", "%"):
        table.add_column(name, justify="right")
    for line in difference.lines.get(kind, ()):
        table.add_row(*map(escape, _cells(difference, line)))
    return table


def _cells(difference: Difference, line: Line) -> tuple[str, ...]:
    by, percent = difference.money(line.amount), "" if line.percent is None else f"{line.percent:+}"
    if line.only_terms:
        by, percent = "terms only", ""
    row = "" if line.row is None else str(line.row)
    old, new = difference.money(line.old), difference.money(line.new)
    return (line.label, line.supplier_number, row, old, new, by, percent)


def summary(difference: Difference) -> str:
    counts = ", ".join(f"{difference.count(kind)} {kind}" for kind in ("new", "changed", "unchanged", "held"))
    lines = [f"{difference.file}, {difference.supplier_name}, from {difference.valid_from}: {counts}."]
    if left := difference.count("left_out"):
        lines.append(f"{left} rows left out: their parts are not on record.")
    if gone := difference.count("gone"):
        day = difference.valid_from
        if difference.complete:
            lines.append(f"{gone} not in the file: their offers end on the day before {day}.")
        else:
            lines.append(f"{gone} not in the file: their offers stay (--complete ends them).")
    if difference.dry_run:
        lines.append("Dry run: the file is in order, nothing was written.")
    elif not difference.writes:
        lines.append("Everything was there already; no offer was written.")
    elif difference.count("held"):
        lines.append("Held prices wait: see --held, then --accept or --refuse, or the supplier's page.")
    return "\n".join(lines)


def held_table(rows: list[HeldPrice], currency: str) -> str:
    text = StringIO()
    table = Table(box=box.ASCII)
    for name in ("id", "part", "file, row", "from"):
        table.add_column(name)
    for name in ("old", "new", "%"):
        table.add_column(name, justify="right")
    for held in rows:
        percent = move_of(held).percent
        table.add_row(
            str(held.pk), escape(str(held.part)), escape(f"{held.price_file.name}, {held.row}"),
            str(held.valid_from), format_money(held.old_price, currency), format_money(held.price, currency),
            "" if percent is None else f"{percent:+}",
        )  # fmt: skip
    Console(file=text, width=WIDTH, no_color=True).print(table)
    return text.getvalue()
