"""Price files for tests and benchmarks: as many rows as wanted, always the same for the same seed."""

import csv
import random
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

from django.db import connection

from catalog.models import Brand, Part, PartType, Supplier

HEADER = ("brand", "number", "supplier_number", "price", "pack", "minimum_quantity", "deposit", "lead_days")
Row = dict[str, str]


def catalogue_of(count: int, *, brands: int = 4) -> Supplier:
    """`count` parts of a few brands, and a supplier who offers none of them yet."""
    heater = PartType.objects.create(code="heater", name="heater")
    made = [Brand.objects.create(code=f"brand-{n}", name=f"Brand {n}") for n in range(brands)]
    rows = (
        (made[n % brands].pk, number_of(n), number_of(n).replace("-", "").replace(" ", ""), heater.pk)
        for n in range(count)
    )
    with connection.cursor() as cursor:
        while batch := list(islice(rows, 20_000)):
            cursor.executemany(
                "INSERT INTO catalog_part (brand_id, number, normalised, part_type_id, description, grade,"
                " gtin, list_currency) VALUES (%s, %s, %s, %s, '', 'equivalent', '', '')",
                batch,
            )
    assert Part.objects.count() == count
    return Supplier.objects.create(code="depot", name="Depot North", currency="EUR")


def number_of(n: int) -> str:
    return f"GX {n:07d}-B"


def rows_of(count: int, *, seed: int = 1, brands: int = 4) -> Iterator[Row]:
    chance = random.Random(seed)
    for n in range(count):
        yield {
            "brand": f"brand-{n % brands}",
            "number": number_of(n),
            "supplier_number": f"{100000 + n}",
            "price": f"{Decimal(chance.randrange(100, 50_000)).scaleb(-2)}",
            "pack": chance.choice(("1", "1", "1", "10")),
            "minimum_quantity": "1",
            "deposit": chance.choice(("0", "0", "12.50")),
            "lead_days": str(chance.randrange(1, 9)),
        }


def moved(rows: Iterator[Row], *, every: int, by: Decimal, seed: int = 2) -> Iterator[Row]:
    """The same rows, with the price of one in `every` moved by a factor."""
    chance = random.Random(seed)
    for row in rows:
        if chance.randrange(every) == 0:
            row = row | {"price": f"{(Decimal(row['price']) * by).quantize(Decimal('0.01'))}"}
        yield row


def write_csv(
    path: Path, rows: Iterator[Row] | Sequence[Row], header: Sequence[str] = HEADER, delimiter: str = ","
) -> Path:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, header, delimiter=delimiter, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    return path


def write_xlsx(path: Path, table: Sequence[Sequence[Any]], sheets: Mapping[str, Any] | None = None) -> Path:
    from openpyxl import Workbook

    book = Workbook()
    for row in table:
        book.active.append(list(row))
    for name in sheets or ():
        book.create_sheet(name)
    book.save(path)
    return path


FIRST_DAY = date(2026, 3, 1)
