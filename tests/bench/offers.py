"""How long a price file takes beside what cannot be avoided: the same rows, ready made, copied and upserted.

    uv run tests/bench/offers.py --database sqlite --rows 1000000
    uv run tests/bench/offers.py --database postgresql --rows 1000000

Ours reads, checks and resolves a CSV of a supplier who offers nothing yet and writes every row. The other way
gets the very rows of the table as columns, takes them into a temporary table by the database's own bulk way
and writes them with one sorted upsert. Both write into the same table with all its indexes and constraints,
in turn; the ratio of the medians is printed beside the stated limit. How far memory grew while importing is
printed as well: run it with fewer rows to see that it hardly depends on them.
"""

import argparse
import os
import resource
import statistics
import sys
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from itertools import islice
from pathlib import Path
from typing import Any

from places import DATABASES, FOLDER, enter
from timing import line

LIMIT = 1.6
DAY = date(2026, 3, 1)
COLUMNS = {
    "part_id": "bigint", "supplier_number": "varchar(60)", "supplier_normalised": "varchar(60)",
    "price": "numeric(14,4)", "pack": "integer", "minimum_quantity": "integer",
    "deposit": "numeric(14,4)", "lead_days": "integer", "valid_from": "date",
}  # fmt: skip


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    asked.add_argument("--database", choices=DATABASES, default="sqlite")
    asked.add_argument("--rows", type=int, default=1_000_000)
    asked.add_argument("--rounds", type=int, default=3)
    given = asked.parse_args()
    enter(given.database, f"offers_{given.rows}", afresh=True)
    from tests.offers.price_files import rows_of, write_csv

    prepare(given.rows)
    path = write_csv(FOLDER / "offers.csv", rows_of(given.rows))
    before = peak()
    grown = 0
    taken: dict[str, list[float]] = {"ours": [], "bare": []}
    for count in range(2 * given.rounds):
        way = "ours" if count % 4 in (0, 3) else "bare"  # ours, bare, bare, ours, ...
        work = ours if way == "ours" else bare
        taken[way].append(work(f"{way}-{count}", path, given.rows))
        grown = peak() - before if count == 0 else grown  # ours goes first: what it needs by itself
        print(f"  {way}: {taken[way][-1]:.1f} s (load {os.getloadavg()[0]:.1f})", flush=True)
    mine, floor = statistics.median(taken["ours"]), statistics.median(taken["bare"])
    name = f"{given.rows:,} offers into {given.database}"
    line(name, mine / floor, LIMIT, f"{mine:.1f} s against {floor:.1f} s")
    print(f"memory grew by {grown} MB from {before} MB while importing")


def prepare(rows: int) -> None:
    from django.core.management import call_command
    from django.db import connection, transaction

    from catalog.search import install as words
    from tests.offers.price_files import catalogue_of

    call_command("migrate", verbosity=0)
    words.remove(connection)  # nothing here searches by words
    with transaction.atomic():
        catalogue_of(rows)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def supplier(code: str) -> Any:
    from catalog.models import Supplier

    return Supplier.objects.create(code=code, name=code, currency="EUR")


def ours(code: str, path: Path, rows: int) -> float:
    from catalog.offers.take import Asked, Who, import_offers

    supplier(code)
    start = time.perf_counter()
    difference = import_offers(path, code, Asked(), Who(datetime.now(UTC), DAY))
    assert difference.count("new") == rows
    return time.perf_counter() - start


def bare(code: str, path: Path, rows: int) -> float:
    """Only the bulk way of the database and its upsert are timed, not making the rows ready."""
    from django.db import connection, transaction

    key, names, spent = supplier(code).pk, ", ".join(COLUMNS), 0.0
    kinds = ", ".join(f"{name} {kind}" for name, kind in COLUMNS.items())
    with connection.cursor() as cursor:
        cursor.execute("DROP TABLE IF EXISTS bare_rows")
        cursor.execute(f"CREATE TEMPORARY TABLE bare_rows ({kinds})")
        ready = ready_rows()
        while batch := list(islice(ready, 50_000)):
            start = time.perf_counter()
            if connection.vendor == "postgresql":
                text = "\n".join(map("\t".join, batch)) + "\n"
                with cursor.copy(f"COPY bare_rows ({names}) FROM STDIN") as copy:
                    copy.write(text.encode())
            else:
                places = ", ".join(["%s"] * len(COLUMNS))
                cursor.execute("BEGIN DEFERRED")
                cursor.executemany(f"INSERT INTO bare_rows VALUES ({places})", batch)
                cursor.execute("COMMIT")
            spent += time.perf_counter() - start
        settled = ", ".join(f"{name} = excluded.{name}" for name in COLUMNS if name != "part_id")
        start = time.perf_counter()
        if connection.vendor == "postgresql":
            cursor.execute("ANALYZE bare_rows")
        with transaction.atomic():
            cursor.execute(
                f"INSERT INTO catalog_offer (supplier_id, {names}) SELECT {key}, {names} FROM bare_rows"
                " WHERE true ORDER BY part_id"
                f" ON CONFLICT (supplier_id, part_id, valid_from) DO UPDATE SET {settled}"
            )
            assert cursor.rowcount == rows
        spent += time.perf_counter() - start
        cursor.execute("DROP TABLE bare_rows")
    return spent


def ready_rows() -> Iterator[tuple[str, ...]]:
    """What the file says, as the table takes it."""
    from catalog.models import Part
    from tests.offers.price_files import rows_of

    keys = Part.objects.order_by("pk").values_list("pk", flat=True).iterator()
    for key, row in zip(keys, rows_of(Part.objects.count()), strict=True):
        number = row["supplier_number"]
        yield (
            str(key), number, number, row["price"], row["pack"], row["minimum_quantity"], row["deposit"],
            row["lead_days"], DAY.isoformat(),
        )  # fmt: skip


def peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    main()
