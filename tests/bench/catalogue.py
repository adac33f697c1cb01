"""The catalogue at the size of a trade, beside the best that can be written by hand on the same database.

    uv run tests/bench/catalogue.py              100 thousand and 10 million applications, both databases
    uv run tests/bench/catalogue.py --size 100000 --database sqlite
    uv run tests/bench/catalogue.py --only fits batch     some of: fits numbers specs batch import

The data is made once and kept in a folder of the system's temporary one (10 million applications take
about ten minutes and 3 to 6 GB for each database); delete that folder when done. PostgreSQL is the server
of TEST_DATABASE_URL, or one from a package. Both sides are asked the same questions, drawn at random from
the data, turn by turn, and their answers are compared first. Every line prints the ratio of the medians
beside its limit.
"""

import argparse
import subprocess
import sys
from pathlib import Path

from places import DATABASES

SMALL, FULL = 100_000, 10_000_000
KINDS = ("fits", "numbers", "specs", "batch", "import")
GROWTH = 1.3


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--size", type=int, nargs="+", default=[SMALL, FULL], help="applications")
    parser.add_argument("--database", choices=DATABASES, nargs="+", default=list(DATABASES))
    parser.add_argument("--only", choices=KINDS, nargs="+", default=list(KINDS))
    parser.add_argument("--count", type=int, default=400, help="questions of each kind")
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.here:
        one(asked.database[0], asked.size[0], asked.only, asked.count)
        return
    for database in asked.database:
        medians = [in_child(database, size, asked) for size in sorted(asked.size)]
        if len(medians) > 1 and all(medians):
            from timing import line

            small, large = (f"{size:,}" for size in (min(asked.size), max(asked.size)))
            told = f"{medians[0]:.3f} ms at {small} applications, {medians[-1]:.3f} at {large}"
            line(f"{database}: growth of parts that fit", medians[-1] / medians[0], GROWTH, told)


def in_child(database: str, size: int, asked: argparse.Namespace) -> float:
    """One database a process. Answers with the median of the fitting question, 0 if it was not asked."""
    command = [sys.executable, str(Path(__file__)), "--here", "--size", str(size), "--database", database]
    command += ["--count", str(asked.count), "--only", *asked.only]
    median = 0.0
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        for row in child.stdout:
            if row.startswith("median "):
                median = float(row.split()[1])
            else:
                print(row, end="", flush=True)
    if child.returncode:
        raise SystemExit(child.returncode)
    return median


def one(database: str, size: int, kinds: list[str], count: int) -> None:
    import gc
    import statistics

    from loading import ready
    from timing import line, tell

    trade = ready(size, database)
    here = f"{database}, {size:,}"
    gc.collect()
    gc.freeze()  # what a server does after its start
    if "fits" in kinds:
        import fits

        measured = fits.measure(trade, database, count)
        tell(f"{here}: parts that fit, cheapest offer, in Python", measured, 1.5)
        print(f"median {statistics.median(measured.ours)}", flush=True)
        tell(f"{here}: the same through the API", fits.through_the_api(trade, database, count), 3.0)
    if "numbers" in kinds:
        import part_numbers

        for name, measured, limit in part_numbers.measure(trade, database, count):
            tell(f"{here}: {name}", measured, limit)
    if "specs" in kinds:
        import spec_table

        deep, measured = spec_table.measure(trade, count // 4)
        tell(f"{here}: page {deep:,} of a spec table beside the first", measured, 1.3)
    if "batch" in kinds:
        import batch

        measured, few, many = batch.measure(trade, database, max(6, count // 20))
        tell(f"{here}: 1,000 fitment checks in one request", measured, 3.0)
        line(f"{here}: statements of it", many / few, 1.0, f"{many} for 1,000 checks, {few} for 500")
    if "import" in kinds:
        import price_files

        price_files.measure(trade, database)


if __name__ == "__main__":
    main()
