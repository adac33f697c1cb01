"""Part numbers as typed: exactly, only the beginning, and with one slip of the finger."""

import json
from collections.abc import Iterator
from random import Random
from typing import Any

from bare import Bare
from timing import Measured, Work, in_turn
from trade import Trade

MOST = 20
COLUMNS = """SELECT p.id, b.code, b.name, p.number, p.normalised, t.name, p.description FROM {of}
JOIN catalog_brand b ON b.id = p.brand_id JOIN catalog_parttype t ON t.id = p.part_type_id"""
EXACT = COLUMNS.format(of="catalog_part p") + " WHERE p.normalised = {one}"
# As a range, which both databases answer from the index in its own order, also where it is prepared.
PREFIX = {
    False: COLUMNS.format(
        of="(SELECT * FROM catalog_part WHERE normalised ~>=~ %s AND normalised ~<~ %s "
        "ORDER BY normalised USING ~<~ LIMIT %s) p"
    ),
    True: COLUMNS.format(
        of="(SELECT * FROM catalog_part WHERE normalised >= ? AND normalised < ? "
        "ORDER BY normalised LIMIT ?) p"
    ),
}
SLIP = {
    False: EXACT.replace("= {one}", "= ANY(%s)"),
    True: COLUMNS.format(of="json_each(?) n CROSS JOIN catalog_part p ON p.normalised = n.value"),
}


def numbers(trade: Trade, count: int) -> list[str]:
    draw = Random(21)
    return [trade.number(draw.randrange(trade.parts)).replace("-", "").replace("/", "") for _ in range(count)]


def beginnings(trade: Trade, count: int) -> list[str]:
    return [number[: 4 + n % 4] for n, number in enumerate(numbers(trade, count))]


def slipped(trade: Trade, count: int) -> Iterator[str]:
    draw = Random(22)
    for number in numbers(trade, count):
        at = draw.randrange(len(number))
        yield draw.choice((
            number[:at] + number[at + 1 :],
            number[:at] + draw.choice("ABCXYZ0189") + number[at + 1 :],
            number[:at] + draw.choice("ABCXYZ0189") + number[at:],
        ))  # fmt: skip


def measure(trade: Trade, database: str, count: int) -> list[tuple[str, Measured, float]]:
    from catalog.rules.nearnumber import one_slip_away
    from catalog.search import numbers as ours

    bare = Bare(database, f"trade_{trade.size}")
    lite = bare.sqlite
    exactly = EXACT.format(one="?" if lite else "%s")
    last = "\U0010ffff"

    def near(number: str) -> Any:
        listed = list(one_slip_away(number))
        return bare.rows(SLIP[lite], [json.dumps(listed) if lite else listed])

    kinds: list[tuple[str, list[str], Work, Work, float]] = [
        ("part number exactly", numbers(trade, count), ours.exact, lambda n: bare.rows(exactly, [n]), 1.5),
        (
            "part number by its beginning", beginnings(trade, count), lambda n: ours.beginning(n, MOST),
            lambda n: bare.rows(PREFIX[lite], [n, n + last, MOST]), 1.5,
        ),
        (
            "part number one slip away", list(slipped(trade, count)), lambda n: ours.one_slip(n, MOST),
            near, 2.0,
        ),
    ]  # fmt: skip
    found = []
    for name, asked, mine, by_hand, limit in kinds:
        hits = 0
        for number in asked:
            told = sorted(row[0] for row in mine(number))
            assert told == sorted(row[0] for row in by_hand(number)), (name, number)
            hits += len(told)
        assert hits >= len(asked) // 2, name
        found.append((name, in_turn(asked, mine, by_hand), limit))
    return found
