"""An estimate as a table in the terminal; says what the document says, no more."""

from datetime import date
from typing import IO, Any, cast

from django.core.management.base import OutputWrapper
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from catalog.rules.interval import day_text

GROUPS = {
    "firm": "Firm",
    "contingent": "Only if found on opening",
    "optional": "If you wish",
}


def console(stdout: OutputWrapper) -> Console:
    """A console on a command's output; the wrapper itself would end every piece with a line break."""
    return Console(file=cast(IO[str], stdout._out))


def print_estimate(document: dict[str, Any], console: Console) -> None:
    """Findings, the three groups of lines, and the totals."""
    unit = document["unit"]
    console.print(f"\n[bold]Estimate {document['number']}, revision {document['revision']}[/bold]")
    serial = unit["serial"] or "not known"
    console.print(escape(f"{unit['name']} - {unit['family_name']}, built {unit['built']}, serial {serial}"))
    console.print(escape(document["job"]["complaint"]))
    if document["findings"]:
        console.print("\n[bold]What was found[/bold]")
    for found in document["findings"]:
        where = f", {found['where']}" if found["where"] else ""
        by = " (a person's judgement)" if found["by_person"] else ""
        console.print(escape(f"  {found['name']}{where}: {found['standing']}{by} - {found['reasons'][0]}"))
    for reason in document["contradictions"]:
        console.print(escape(f"  The readings contradict each other: {reason}"))
    for group, heading in GROUPS.items():
        if document["groups"][group]:
            console.print(_group(heading, document["groups"][group], document["currency"]))
    console.print(_totals(document))
    for note in (*document["not_offered"], *document["open_points"]):
        console.print(escape(f"  {note['what']}: {note['why']}"))
    console.print(f"Valid until {day_text(date.fromisoformat(document['valid_until']))}.")
    if document["demonstration"]:
        console.print("Demonstration data, not for real work.")


def _group(heading: str, items: list[dict[str, Any]], currency: str) -> Table:
    table = Table(
        title=f"\n{heading}", title_justify="left", title_style="bold", expand=True, box=None, pad_edge=False
    )
    table.add_column("Line", ratio=1)
    table.add_column("Part")
    table.add_column("Qty", justify="right")
    table.add_column("Price", justify="right")
    table.add_column(currency, justify="right")
    for item in items:
        where = f", {item['where']}" if item["where"] and item["key"] != "tests" else ""
        adds = "" if item["adds"] is None else f" - adds {item['adds']} with tax"
        table.add_row(f"[bold]{escape(item['title'] + where)}[/bold]{escape(adds)}")
        if item["adds"] is not None:
            table.add_row(escape("  " + "; ".join(item["why"])))
        for line in item["lines"]:
            part = f"{line['part']['brand']} {line['part']['number']}" if line["part"] else ""
            text = f"  {line['text']}" + (f", {line['minutes']} min" if line["minutes"] is not None else "")
            price = "" if line["minutes"] is not None else line["unit_price"]
            quantity = "" if line["minutes"] is not None else line["quantity"]
            table.add_row(escape(text), escape(part), quantity, price, line["net"])
            if line["note"]:
                table.add_row(escape(f"  {line['note']}"))
    return table


def _totals(document: dict[str, Any]) -> Table:
    table = Table(
        title="\nTotals", title_justify="left", title_style="bold", expand=True, box=None, pad_edge=False
    )
    table.add_column("", ratio=1)
    for name in ("Without tax", "Tax", f"Total {document['currency']}"):
        table.add_column(name, justify="right")
    names = {
        "firm": "Firm",
        "ceiling": "Not above this without asking again",
        "options": "With everything you may wish as well",
    }
    for key, name in names.items():
        totals = document["totals"][key]
        table.add_row(name, totals["without_tax"], totals["tax_sum"], totals["with_tax"])
    return table
