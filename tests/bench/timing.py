"""Times two ways of doing the same in turn, many times over, and prints the ratio of the medians."""

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

Work = Callable[[Any], Any]


@dataclass
class Measured:
    """Milliseconds of each question, ours and bare."""

    ours: list[float]
    bare: list[float]

    @property
    def ratio(self) -> float:
        return statistics.median(self.ours) / statistics.median(self.bare)


def in_turn(questions: Sequence[Any], ours: Work, bare: Work, warm: int = 12) -> Measured:
    """Every question to both, now one first and now the other. The first ones warm up and do not count; they
    come again at the end, so that every question counts once."""
    found = Measured([], [])
    for count, question in enumerate([*questions[:warm], *questions]):
        pair = [(ours, found.ours), (bare, found.bare)]
        for work, taken in pair if count % 2 else reversed(pair):
            start = time.perf_counter()
            work(question)
            if count >= warm:
                taken.append((time.perf_counter() - start) * 1000)
    return found


def tell(name: str, measured: Measured, limit: float) -> None:
    ours, bare = (statistics.median(taken) for taken in (measured.ours, measured.bare))
    slow = statistics.quantiles(measured.ours, n=20)[-1]
    line(name, measured.ratio, limit, f"{ours:.2f} ms (19 of 20 within {slow:.2f}) against {bare:.2f} ms")


def line(name: str, ratio: float, limit: float, told: str) -> None:
    met = "met" if round(ratio, 2) <= limit else "MISSED"
    print(f"{name}: {told}; ratio {ratio:.2f}, limit {limit}, {met}", flush=True)
