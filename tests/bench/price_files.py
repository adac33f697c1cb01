"""A supplier's first price file, taken in: beside the database's own bulk copy of the same rows and one
upsert.

    uv run tests/bench/price_files.py ours|bare DATABASE SIZE ROWS     one import, in a process of its own

The bare side copies the file as it is into a table without indexes (COPY on PostgreSQL, executemany over
the csv module on SQLite) and writes all offers by one INSERT ... SELECT ... ON CONFLICT. It checks
nothing, tells nothing and would take any nonsense. Each import writes new offers of a supplier of its own,
which are removed again.
"""

import csv
import json
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from places import FOLDER
from timing import line
from trade import BRANDS, Trade

DAY = "2025-01-01"
HEADER = ("brand", "number", "supplier_number", "price", "pack", "minimum_quantity", "lead_days")
COLUMNS = ("brand", "number", "own", "price", "pack", "minimum", "lead")
ROUNDS = 3


def price_file(trade: Trade, rows: int) -> Path:
    """Every part once, in the brands' order."""
    path = FOLDER / f"prices_{trade.size}_{rows}.csv"
    if not path.exists():
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(HEADER)
            for part in range(rows):
                cents = 150 + part * 7919 % 30_000
                writer.writerow((
                    f"brand-{1 + part * BRANDS // trade.parts}", trade.number(part), f"S-{part}",
                    f"{cents // 100}.{cents % 100:02d}", 1 + (part % 10 == 0), 1, part % 9,
                ))  # fmt: skip
    return path


def measure(trade: Trade, database: str) -> None:
    """One million offers, or as many as the trade has parts."""
    rows = min(1_000_000, trade.parts)
    few = rows // 10
    times: dict[str, list[float]] = {"ours": [], "bare": []}
    for _ in range(ROUNDS):
        for side in times:
            times[side].append(run(side, database, trade.size, rows)[0])
    ours, bare = (statistics.median(times[side]) for side in ("ours", "bare"))
    told = f"{ours:.1f} s against {bare:.1f} s, medians of {ROUNDS}"
    line(f"{database}: import of {rows:,} offers", ours / bare, 1.6, told)
    small, large = (run("ours", database, trade.size, count)[1] for count in (few, rows))
    told = f"{large} MB for {rows:,} rows, {small} MB for {few:,}"
    line(f"{database}: memory of it", large / small, 1.1, told)


def run(side: str, database: str, size: int, rows: int) -> tuple[float, int]:
    """Seconds and megabytes of one import in a process of its own."""
    command = [sys.executable, __file__, side, database, str(size), str(rows)]
    told = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True).stdout
    seconds, megabytes = json.loads(told.splitlines()[-1])
    return seconds, megabytes


def one(side: str, database: str, size: int, rows: int) -> None:
    from loading import ready

    trade = ready(size, database)
    path = price_file(trade, rows)
    code = f"bench-{side}"
    from catalog.models import Offer, Supplier

    supplier, _ = Supplier.objects.get_or_create(code=code, defaults={"name": code, "currency": "EUR"})
    clear(supplier.pk)
    started = time.perf_counter()
    if side == "ours":
        take(path, code)
    else:
        by_hand(path, supplier.pk, database, trade)
    seconds = time.perf_counter() - started
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    assert Offer.objects.filter(supplier=supplier).count() == rows
    clear(supplier.pk)
    print(json.dumps([seconds, megabytes]))


def take(path: Path, code: str) -> None:
    from datetime import date

    from django.utils import timezone

    from catalog.offers.take import Asked, Who, import_offers

    now = timezone.localtime()
    import_offers(path, code, Asked(valid_from=date.fromisoformat(DAY), again=True), Who(now, now.date()))


def by_hand(path: Path, supplier: int, database: str, trade: Trade) -> None:
    from bare import Bare

    bare = Bare(database, f"trade_{trade.size}")
    columns = ", ".join(
        f"{name} {'text' if name in ('brand', 'number', 'own') else kind(name)}" for name in COLUMNS
    )
    bare.cursor.execute(f"CREATE TEMP TABLE bench_staging ({columns})")
    (_fill_sqlite if bare.sqlite else _fill_postgresql)(bare, path)
    mark = "?" if bare.sqlite else "%s"
    bare.cursor.execute(
        "INSERT INTO catalog_offer (supplier_id, part_id, supplier_number, supplier_normalised, price, pack, "
        "minimum_quantity, deposit, lead_days, valid_from, valid_until) "
        f"SELECT {mark}, p.id, s.own, replace(s.own, '-', ''), s.price, s.pack, s.minimum, 0, s.lead, "
        f"'{DAY}', NULL "
        "FROM bench_staging s JOIN catalog_brand b ON b.code = s.brand "
        "JOIN catalog_part p "
        "ON p.brand_id = b.id AND p.normalised = replace(replace(s.number, '-', ''), '/', '') WHERE true "
        "ORDER BY p.id ON CONFLICT (supplier_id, part_id, valid_from) DO UPDATE SET price = excluded.price, "
        "pack = excluded.pack, minimum_quantity = excluded.minimum_quantity, lead_days = excluded.lead_days, "
        "supplier_number = excluded.supplier_number, supplier_normalised = excluded.supplier_normalised",
        (supplier,),
    )
    if bare.sqlite:
        bare.cursor.execute("COMMIT")


def kind(name: str) -> str:
    return "numeric" if name == "price" else "integer"


def _fill_postgresql(bare: Any, path: Path) -> None:
    with (
        path.open("rb") as file,
        bare.cursor.copy("COPY bench_staging FROM STDIN (FORMAT csv, HEADER)") as copy,
    ):
        while block := file.read(1 << 16):
            copy.write(block)
    bare.cursor.execute("ANALYZE bench_staging")


def _fill_sqlite(bare: Any, path: Path) -> None:
    bare.cursor.execute("BEGIN")
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        bare.cursor.executemany("INSERT INTO bench_staging VALUES (?, ?, ?, ?, ?, ?, ?)", rows)


def clear(supplier: int) -> None:
    from django.db import connection

    with connection.cursor() as cursor:
        for statement in (
            "DELETE FROM catalog_heldprice WHERE price_file_id IN "
            "(SELECT id FROM catalog_pricefile WHERE supplier_id = %s)",
            "DELETE FROM catalog_pricefile WHERE supplier_id = %s",
            "DELETE FROM catalog_offer WHERE supplier_id = %s",
        ):
            cursor.execute(statement, [supplier])
        if connection.vendor == "postgresql":
            cursor.execute("VACUUM ANALYZE catalog_offer")


if __name__ == "__main__":
    one(sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4]))
