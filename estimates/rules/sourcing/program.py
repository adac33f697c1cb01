"""A basket as a mixed-integer program: whole packs, price breaks, freight with its threshold.

Every amount becomes a whole number of one small unit, so that nothing is lost on the way into the solver.
Yes-or-no columns say which way answers a want, which range of quantities of a source is used, which supplier
is ordered from, and whose freight is waived; whole-number columns count packs. Freight is waived only where
the goods reach the threshold.

One clip for 2.50 from the one who asks 6.90 for sending it: 25 and 69 tenths.

>>> from datetime import date
>>> from decimal import Decimal
>>> from catalog.cards import OfferCard
>>> from estimates.rules.sourcing.asked import Source, Want
>>> offer = OfferCard(1, 1, "yard", "Yard", "EUR", Decimal("2.50"), (), 1, 1, Decimal(0), 1,
...     date(2026, 1, 1), None, freight=Decimal("6.90"))
>>> made = program(Basket((Want(("clip",), "clip", 1, (((1, 1),),)),), (Source(offer),)))
>>> made.cost, made.unit
([69, 25], Fraction(1, 10))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd, lcm

from estimates.rules.sourcing.asked import Basket, Purchase, Source, Taken

Terms = list[tuple[int, int]]
"""(column, whole-number factor)"""


@dataclass(frozen=True)
class Used:
    """A range of quantities of a source: `count` x `unit` pieces; `switch` is 1 where it is used."""

    source: Source
    switch: int
    count: int
    unit: int


@dataclass
class Program:
    """Columns from 0 to their upper bound, all of them whole; rows as (least, most, terms), None unbounded.

    `cost` in `unit`s. `latest` is the column that no used source's days exceed.
    """

    cost: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    rows: list[tuple[int | None, int | None, Terms]] = field(default_factory=list)
    unit: Fraction = Fraction(1)
    ways: list[list[int]] = field(default_factory=list)
    used: list[Used] = field(default_factory=list)
    suppliers: dict[str, int] = field(default_factory=dict)

    def column(self, upper: int = 1) -> int:
        self.upper.append(upper)
        return len(self.upper) - 1

    def purchase(self, basket: Basket, values: Sequence[int]) -> Purchase:
        """What these values of the columns say."""
        ways = tuple(
            want.ways[next((n for n, column in enumerate(columns) if values[column]), 0) if columns else 0]
            for want, columns in zip(basket.wants, self.ways, strict=True)
        )
        taken = tuple(
            Taken(used.source, values[used.count] * used.unit) for used in self.used if values[used.count]
        )
        return Purchase(ways, taken)


def program(basket: Basket) -> Program:
    """The program that covers every want at least cost."""
    made = Program()
    exact: dict[int, Fraction] = {}
    wanted: dict[int, Terms] = defaultdict(list)
    fixed: dict[int, int] = defaultdict(int)
    for want in basket.wants:
        if len(want.ways) == 1:
            made.ways.append([])
            for part, per in want.ways[0]:
                fixed[part] += per * want.pieces
            continue
        columns = [made.column() for _ in want.ways]
        made.ways.append(columns)
        made.rows.append((1, 1, [(column, 1) for column in columns]))
        for column, way in zip(columns, want.ways, strict=True):
            for part, per in way:
                wanted[part].append((column, per * want.pieces))
    _suppliers(basket, made, exact)
    supply: dict[int, Terms] = defaultdict(list)
    values: dict[str, list[tuple[int, Fraction]]] = defaultdict(list)
    for source in basket.sources:
        if basket.most.get(source.part):
            _source(source, basket.most[source.part], made, exact, supply, values)
    for part in basket.most:
        terms = supply[part] + [(column, -pieces) for column, pieces in wanted[part]]
        made.rows.append((fixed[part], None, terms))
    _thresholds(basket, made, exact, values)
    _whole(made, exact)
    return made


def _suppliers(basket: Basket, made: Program, exact: dict[int, Fraction]) -> None:
    for source in basket.sources:
        code = source.supplier
        if code and code not in made.suppliers and basket.most.get(source.part):
            made.suppliers[code] = made.column()
            exact[made.suppliers[code]] = Fraction(source.offer.freight)


def _source(
    source: Source,
    most: int,
    made: Program,
    exact: dict[int, Fraction],
    supply: dict[int, Terms],
    values: dict[str, list[tuple[int, Fraction]]],
) -> None:
    pack = source.offer.pack
    switches: Terms = []
    for fewest, highest, price in source.ranges(most):
        if fewest == highest:
            used = Used(source, column := made.column(), column, fewest)
        else:
            used = Used(source, made.column(), made.column(highest // pack), pack)
            made.rows.append((None, 0, [(used.count, 1), (used.switch, -(highest // pack))]))
            made.rows.append((0, None, [(used.count, 1), (used.switch, -(fewest // pack))]))
        made.used.append(used)
        switches.append((used.switch, 1))
        supply[source.part].append((used.count, used.unit))
        exact[used.count] = source.weight * Fraction(price + source.offer.deposit) * used.unit
        values[source.supplier].append((used.count, Fraction(price) * used.unit))
    if source.supplier and switches:
        made.rows.append((None, 0, [*switches, (made.suppliers[source.supplier], -1)]))
    elif len(switches) > 1:
        made.rows.append((None, 1, switches))


def _thresholds(
    basket: Basket,
    made: Program,
    exact: dict[int, Fraction],
    values: dict[str, list[tuple[int, Fraction]]],
) -> None:
    offers = {source.supplier: source.offer for source in basket.sources if source.supplier}
    for code, ordered in made.suppliers.items():
        offer = offers[code]
        if offer.free_freight_from is None or not offer.freight:
            continue
        waived = made.column()
        exact[waived] = -Fraction(offer.freight)
        made.rows.append((None, 0, [(waived, 1), (ordered, -1)]))
        terms = [*values[code], (waived, -Fraction(offer.free_freight_from))]
        scale = _scale([factor for _, factor in terms])
        made.rows.append((0, None, [(column, int(factor / scale)) for column, factor in terms if factor]))


def _whole(made: Program, exact: dict[int, Fraction]) -> None:
    made.unit = _scale(list(exact.values()))
    made.cost = [int(exact.get(column, Fraction()) / made.unit) for column in range(len(made.upper))]


def _scale(amounts: Sequence[Fraction]) -> Fraction:
    """The largest amount of which all of these are whole multiples."""
    parts = lcm(*(amount.denominator for amount in amounts))
    return Fraction(gcd(*(int(amount * parts) for amount in amounts)) or 1, parts)
