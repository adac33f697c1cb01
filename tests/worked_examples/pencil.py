"""What a service writer does with a pencil: plain Decimals, none of the project's rules.

The demonstration workshop: 92.00 an hour in tenths, supplies 3 % of labour up to 25.00, disposal 6.50, tax
21 % on everything; parts at cost plus 60 % on the first 25.00, 40 % on what lies between 25 and 120, 28 % on
what lies between 120 and 500, 18 % on the rest, never above a list price. (fixtures/workshop.json)
"""

import csv
import json
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from estimates.builder import Built, build
from estimates.jobfile import read_job_file
from tests.jobs.conftest import FIXTURES, NOON

RATE, TENTH = Decimal("92.00"), Decimal("0.1")
SUPPLIES, CAP, DISPOSAL, TAX = Decimal("3"), Decimal("25.00"), Decimal("6.50"), Decimal("21")
LADDER = [("0", "25", "60"), ("25", "120", "40"), ("120", "500", "28"), ("500", "1000000", "18")]


def D(text: str) -> Decimal:
    return Decimal(text)


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(D("0.01"), ROUND_HALF_UP)


def hours(minutes: int) -> Decimal:
    """In tenths of an hour, six minutes each; three minutes and more go up."""
    return (Decimal(minutes) / 6).quantize(D("1"), ROUND_HALF_UP) * TENTH


def labour(minutes: int) -> Decimal:
    return cents(hours(minutes) * RATE)


def sold(cost: str, listed: str | None = None) -> Decimal:
    """A piece's price: every slice of its cost with the percentage of its band, held at the list price."""
    price = D(cost)
    for start, end, percent in LADDER:
        price += max(min(D(cost), D(end)) - D(start), D("0")) * D(percent) / 100
    return cents(price) if listed is None else min(cents(price), D(listed))


def with_tax(minutes: int, parts: Decimal) -> Decimal:
    """The foot of the estimate; `parts` with deposits, which are taxed like them here."""
    work = labour(minutes)
    net = work + parts + min(cents(work * SUPPLIES / 100), CAP) + DISPOSAL
    return net + cents(net * TAX / 100)


# What the tables are held against


def built(name: str) -> Built:
    """The estimate of a job file of the demonstration, as the product makes it."""
    job, book = read_job_file(FIXTURES / "jobs" / f"{name}.json", NOON.date())
    return build(job, NOON.date(), book=book)


def rows(table: str, **where: str) -> list[dict[str, str]]:
    """Rows of a table of the demonstration data, read as plain text."""
    path: Path = FIXTURES / "demo" / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        return [r for r in csv.DictReader(file) if all(r[key] == value for key, value in where.items())]


def cost_in_the_data(supplier: str, number: str) -> str:
    """The price in force on the day of these examples."""
    day = NOON.date().isoformat()
    found = [
        row["price"]
        for row in rows("offers", supplier=supplier, part_number=number)
        if row["valid_from"] <= day and (row["valid_until"] or day) >= day
    ]
    assert len(found) == 1, f"{supplier} {number}: {found}"
    return found[0]


def workshop() -> dict:
    return json.loads((FIXTURES / "workshop.json").read_text(encoding="utf-8"))
