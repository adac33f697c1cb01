"""How long it takes to price every toggle of a 100-line estimate beside building it anew, in one run.

    uv run tests/bench/pricing.py             SQLite in a temporary folder
    DATABASE_URL=... uv run tests/bench/pricing.py      an empty PostgreSQL database of your own

A toggle takes one item in or leaves one out, firm ones too, and asks for the whole total: labour with shared
teardown counted once, parts, discounts, charges, every tax. It is held against a full build, of which it may
take a tenth; against the pricing of the plan by rules alone, parts and offers already found, of which it may
take a tenth as well; and, as the lowest floor there is, against adding up the finished lines once. Estimates
of other sizes show how it grows. Each pair is timed in turn; ratios of medians are printed, nothing is
asserted but that a toggle comes to what an estimate built from that choice comes to.
"""

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from estimate import TODAY, job_of  # the benchmark beside this one, which sets everything up
from timing import in_turn, line, tell

from catalog.actions import import_pack
from estimates.builder import Built, build_for
from estimates.rules.byhand import Adjustments, DiscountIn
from estimates.rules.pricing import price
from shop.actions import set_up_workshop

ROOT = Path(__file__).resolve().parents[2]
DISCOUNT = DiscountIn("", Decimal(5), None, "for the benchmark")


def toggles(built: Built) -> list[frozenset[str]]:
    """Every choice that is one tick away from the firm items, each several times over."""
    firm = frozenset(built.priced.sheet.firm())
    return [firm ^ {key} for key in built.priced.sheet.items] * 3


def lines_of(built: Built) -> int:
    return sum(len(item.lines) for item in built.priced.items)


def check(built: Built) -> None:
    """What the toggles come to is what estimates built from those choices come to."""
    plan, sheet = built.plan, built.priced.sheet
    for choice in set(toggles(built)):
        items = tuple(replace(item, group="firm") for item in plan.items if item.key in choice)
        alone = price(replace(plan, items=items), built.supplies, built.terms, built.priced.adjustments)
        assert alone.firm == sheet.price(choice).totals


def main() -> None:
    call_command("migrate", verbosity=0)
    import_pack(ROOT / "fixtures" / "demo")
    set_up_workshop(ROOT / "fixtures" / "workshop.json")
    today, grown = TODAY.date(), []
    print(f"Database: {connection.vendor}")
    for count in (8, 16, 34):
        job = job_of(count, f"P{count}")
        built = build_for(job, today)
        check(built)
        sheet, choices = built.priced.sheet, toggles(built)
        size = f"{lines_of(built)} lines, {len(sheet.items)} items"

        def anew(_: object, job=job) -> Built:
            return build_for(job, today)

        def by_rules(_: object, built: Built = built) -> object:
            return price(built.plan, built.supplies, built.terms)

        def added_up(_: object, built: Built = built) -> Decimal:
            return sum((one.net for item in built.priced.items for one in item.lines), Decimal(0))

        ticks = choices if count == 34 else choices[:30]
        taken = in_turn(ticks, lambda choice, sheet=sheet: sheet.price(choice).totals, by_rules)
        grown.append((lines_of(built), statistics.median(taken.ours)))
        tell(f"A toggle of {size}, against pricing by rules", taken, 0.1)
        tell(f"A toggle of {size}, against a full build", in_turn(ticks[:40], sheet_totals(built), anew), 0.1)
        if count == 34:
            tell("The same, against adding up the lines", in_turn(ticks, sheet_totals(built), added_up), 20)
            discounted = price(
                built.plan, built.supplies, built.terms,
                Adjustments((DISCOUNT, *(replace(DISCOUNT, item=key) for key in list(sheet.items)[:10]))),
            ).sheet  # fmt: skip
            taken = in_turn(ticks, lambda choice, sheet=discounted: sheet.price(choice).totals, by_rules)
            tell("With a discount on ten items and on the whole", taken, 0.1)
            start = time.perf_counter()
            for choice in set(choices):
                sheet.price(choice)
            every = (time.perf_counter() - start) * 1000
            print(f"Every toggle once: {every:.1f} ms for {len(set(choices))}")
    (few, short), *_, (many, long) = grown
    told = f"{many / few:.1f} times the lines take {long / short:.1f} times the time"
    line("Growth", (long / short) / (many / few), 1.5, told)


def sheet_totals(built: Built) -> Callable[[frozenset[str]], object]:
    return lambda choice: built.priced.sheet.price(choice).totals


if __name__ == "__main__":
    main()
