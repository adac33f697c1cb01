"""A thousand fitment checks in one request, beside the same rows fetched and decided by hand."""

import json
from random import Random
from typing import Any

from bare import Bare
from batch_bare import batch
from questions import engine, listed_pairs
from sending import Client
from timing import Measured, in_turn
from trade import BRANDS, Trade

CHECKS = 1000


def bodies(trade: Trade, count: int, size: int = CHECKS) -> list[bytes]:
    """Batches as a program sends them: other parts for other engines each time."""
    draw = Random(11)
    found = []
    for n in range(count):
        checks = [
            {
                "part": {"brand": f"brand-{1 + part * BRANDS // trade.parts}", "number": trade.number(part)},
                "family": f"family-{family + 1}",
                **engine(trade, family, draw),
            }
            for part, family in listed_pairs(trade, size, seed=100 + n)
        ]
        found.append(json.dumps({"checks": checks}).encode())
    return found


def measure(trade: Trade, database: str, count: int) -> tuple[Measured, int, int]:
    """The times, and how many statements five hundred checks and a thousand take: one less where
    nothing was replaced."""
    bare = Bare(database, f"trade_{trade.size}")
    client = Client()
    sent = bodies(trade, count)

    def ours(body: bytes) -> bytes:
        return client.post_bytes("fitment-checks/", body)

    for body in sent:
        same(json.loads(ours(body)), json.loads(batch(bare, body)))
    found = in_turn(sent, ours, lambda body: batch(bare, body), warm=3)
    return found, statements(ours, bodies(trade, 1, CHECKS // 2)[0]), statements(ours, sent[0])


def statements(work: Any, body: bytes) -> int:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as asked:
        work(body)
    return len(asked)


def same(ours: Any, bare: Any) -> None:
    """The same outcome, quantity and current parts, save where ours decides what row by row stays open and
    where a part of a group was lent an application."""
    decided = 0
    for result, told in zip(ours["results"], bare["results"], strict=True):
        (verdict,) = result["verdicts"]
        if verdict["by_interchange"]:
            continue
        if told["verdict"] == "cannot tell" or len(verdict["replaced_by"]) > 1:
            continue
        decided += 1
        assert verdict["verdict"] == told["verdict"], (verdict, told)
        assert verdict["quantity"] == told["quantity"] or verdict["verdict"] != "fits", (verdict, told)
        assert [part for way in verdict["replaced_by"] for part in way] == told["replaced_by"], (
            verdict,
            told,
        )
    assert decided > len(ours["results"]) // 2
