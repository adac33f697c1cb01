"""The estimate beside what the work really took, per operation and per item, in minutes and in money.

The price the customer accepted stays what it is; what the work took beyond it or less is the shop's own
knowledge. Teardown that several items share is split among them, in the estimate and in what it took, by
the same rule as the price (see estimates.rules.labour), so that the items come to the total on both sides.
Where minutes were not written down, the row, its item and the sum say so instead of taking the estimate.

A cover of 30 minutes took 42; the harness under it took 8 instead of 10:

>>> from estimates.rules.bench import BenchRow
>>> rows = [BenchRow("cover@A", "cover", "Cover", "bank A", "", 30, frozenset()),
...         BenchRow("harness@A", "harness", "Harness", "bank A", "harness", 10, frozenset({"cover@A"}))]
>>> told = variance(rows, {"cover@A": 42, "harness@A": 8}, Decimal(60), "EUR")
>>> told.estimated, told.actual, told.difference, str(told.money)
(40, 50, 10, '10.00')
>>> [(one.code, one.difference) for one in told.operations]
[('cover', 12), ('harness', -2)]
>>> variance(rows, {"harness@A": 8}, Decimal(60), "EUR").missing
('cover@A',)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimates.rules.bench import BenchRow
from estimates.rules.history import FURTHER
from estimates.rules.labour import Step, Work, exact_shares
from shop.rules.currency import minor_units, round_money
from shop.rules.remainder import largest_remainder
from shop.rules.rounding import round_half_up

MINUTES_PER_HOUR = 60


@dataclass(frozen=True, slots=True)
class Beside:
    """Minutes estimated beside those it took; `money` is the difference at the labour rate, without tax.

    `actual`, `difference` and `money` are None where some of it was not written down. `code` is that of the
    operation, test or step, or an item's key.
    """

    code: str
    name: str
    where: tuple[str, ...]
    estimated: int
    actual: int | None
    difference: int | None
    money: Decimal | None


@dataclass(frozen=True, slots=True)
class Variance:
    """`missing` are the keys of the rows without minutes."""

    operations: tuple[Beside, ...]
    items: tuple[Beside, ...]
    estimated: int
    actual: int | None
    difference: int | None
    money: Decimal | None
    missing: tuple[str, ...]


def variance(rows: Sequence[BenchRow], actual: Mapping[str, int], rate: Decimal, currency: str) -> Variance:
    """`actual`: minutes written down by row key; `rate` per hour. Rows of one code are one operation."""
    missing = tuple(row.key for row in rows if row.key not in actual)
    whole = _beside("", "", (), sum(row.estimated for row in rows), _sum(rows, actual), rate, currency)
    return Variance(
        operations=_operations(rows, actual, rate, currency),
        items=_items(rows, actual, rate, currency),
        estimated=whole.estimated,
        actual=whole.actual,
        difference=whole.difference,
        money=whole.money,
        missing=missing,
    )


def money_of(minutes: int, rate: Decimal, currency: str) -> Decimal:
    """Minutes at the hourly rate, exact to the minor unit, half away from zero."""
    return round_money(
        round_half_up(Fraction(minutes) * Fraction(rate) / MINUTES_PER_HOUR, minor_units(currency)), currency
    )


def _operations(
    rows: Sequence[BenchRow], actual: Mapping[str, int], rate: Decimal, currency: str
) -> tuple[Beside, ...]:
    together: dict[str, list[BenchRow]] = {}
    for row in rows:
        together.setdefault(row.code.removeprefix(FURTHER), []).append(row)
    return tuple(
        _beside(
            code,
            same[0].name,
            tuple(row.where for row in same if row.where),
            sum(row.estimated for row in same),
            _sum(same, actual),
            rate,
            currency,
        )
        for code, same in together.items()
    )


def _items(
    rows: Sequence[BenchRow], actual: Mapping[str, int], rate: Decimal, currency: str
) -> tuple[Beside, ...]:
    """In whole minutes that come to the total: each item's own, and its share of the teardown."""
    keys = list(dict.fromkeys(row.item for row in rows if row.item))
    estimated = _shared(keys, rows, {row.key: row.estimated for row in rows})
    taken = _shared(keys, rows, actual) if all(row.key in actual for row in rows) else {}
    open_items = set() if taken else _not_known(rows, actual)
    if not taken:
        # An item all of whose rows are known has its exact share, rounded by itself.
        exact = _exact(rows, {row.key: actual.get(row.key, 0) for row in rows})
        taken = {key: int(round_half_up(exact[key], 0)) for key in keys if key not in open_items}
    return tuple(_beside(key, "", (), estimated[key], taken.get(key), rate, currency) for key in keys)


def _shared(keys: list[str], rows: Sequence[BenchRow], minutes: Mapping[str, int]) -> dict[str, int]:
    exact = _exact(rows, minutes)
    total = sum(exact.values(), Fraction(0))
    whole = largest_remainder(int(total), [exact[key] for key in keys]) if total else (0,) * len(keys)
    return dict(zip(keys, whole, strict=True))


def _exact(rows: Sequence[BenchRow], minutes: Mapping[str, int]) -> dict[str, Fraction]:
    steps = {row.key: Step(row.key, minutes[row.key], row.needs) for row in rows if row.teardown}
    works = [Work(row.key, minutes[row.key], row.needs) for row in rows if not row.teardown]
    items = {row.key: row.item for row in rows}
    found: dict[str, Fraction] = {}
    for key, share in exact_shares(works, steps).items():
        found[items[key]] = found.get(items[key], Fraction(0)) + share
    return found


def _not_known(rows: Sequence[BenchRow], actual: Mapping[str, int]) -> set[str]:
    """Items that have a row without minutes, or need teardown that has none."""
    teardown = {row.key: row for row in rows if row.teardown}

    def known(key: str) -> bool:
        return key in actual and all(known(before) for before in teardown[key].needs)

    return {
        row.item
        for row in rows
        if row.item and (row.key not in actual or not all(known(key) for key in row.needs))
    }


def _sum(rows: Sequence[BenchRow], actual: Mapping[str, int]) -> int | None:
    if any(row.key not in actual for row in rows):
        return None
    return sum(actual[row.key] for row in rows)


def _beside(
    code: str,
    name: str,
    where: tuple[str, ...],
    estimated: int,
    actual: int | None,
    rate: Decimal,
    currency: str,
) -> Beside:
    if actual is None:
        return Beside(code, name, where, estimated, None, None, None)
    difference = actual - estimated
    return Beside(code, name, where, estimated, actual, difference, money_of(difference, rate, currency))
