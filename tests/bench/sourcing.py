"""How long buying 60 lines over 8 suppliers with 4 offers each takes beside the solver alone, in one run.

    uv run tests/bench/sourcing.py

The floor is the solver given the very programs that the three plans need, ready made, and nothing else: no
program built from offers, no answer checked or priced. Both sides are asked about the same baskets in turn,
and the ratio of medians is printed beside the stated limit; then how it grows with lines, and what the second
look at the same basket costs. Nothing is asserted.
"""

import random
import statistics
import sys
import time
from datetime import date
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from timing import in_turn, line, tell

from catalog.cards import OfferCard
from estimates.rules.sourcing import plans, solver
from estimates.rules.sourcing.asked import Basket, Source, Want

D = Decimal
SUPPLIERS = 8
OFFERS = 4
BASKETS = 3
DAY = date(2026, 1, 1)


def basket(lines: int, seed: int) -> Basket:
    """Parts of shop prices; each is offered by four of eight suppliers whose prices lie close together."""
    draw = random.Random(seed)
    freight = [(D(draw.randint(40, 220)) / 10, D(draw.choice((75, 120, 250, 500)))) for _ in range(SUPPLIERS)]
    sources, wants = [], []
    for part in range(lines):
        usual = D(draw.randint(100, 12000)) / 100
        wants.append(Want((part,), f"part {part}", draw.choice((1, 1, 2, 4, 8)), (((part, 1),),)))
        for supplier in draw.sample(range(SUPPLIERS), OFFERS):
            price = (usual * draw.randint(90, 115) / 100).quantize(D("0.01"))
            start = draw.choice((0, 4, 10))
            offer = OfferCard(
                part, part, f"s{supplier}", f"S{supplier}", "EUR", price,
                ((start, (price * 94 / 100).quantize(D("0.01"))),) if start else (),
                draw.choice((1, 1, 1, 2, 5)), 1, D(draw.choice((0, 0, 0, 0, 12))), draw.randint(1, 9),
                DAY, None, freight=freight[supplier][0], free_freight_from=freight[supplier][1],
            )  # fmt: skip
            sources.append(Source(offer))
    return Basket(tuple(wants), tuple(sources))


def three_plans(asked: Basket) -> None:
    for name in plans.PLANS:
        plans.bought.__wrapped__(asked, name)


class Floor:
    """The programs that a basket's plans ask the solver, noted once, and the solver asked them again."""

    def __init__(self, asked: Basket) -> None:
        self.asked = asked
        self.programs: list[tuple[object, object, object]] = []
        real = plans.minimum

        def note(cost: list[int], upper: list[int], rows: list[object]) -> list[int] | None:
            self.programs.append((list(cost), list(upper), list(rows)))
            return real(cost, upper, rows)

        plans.minimum = note
        three_plans(asked)
        plans.minimum = real
        self.models = [solver.model_of(*program) for program in self.programs]

    def solve(self) -> None:
        for model in self.models:
            solver.run(model)


def main() -> None:
    for lines in (15, 30, 60):
        floors = [Floor(basket(lines, seed)) for seed in range(BASKETS)]
        measured = in_turn(floors, lambda f: three_plans(f.asked), lambda f: f.solve(), warm=1)
        asked = statistics.mean(len(floor.models) for floor in floors)
        name = (
            f"{lines} lines, {SUPPLIERS} suppliers, {OFFERS} offers each, three plans, {asked:.1f} programs"
        )
        if lines == 60:
            tell(name, measured, 1.5)
        else:
            ours, bare = (statistics.median(taken) for taken in (measured.ours, measured.bare))
            print(f"{name}: {ours:.1f} ms against {bare:.1f} ms; ratio {ours / bare:.2f}", flush=True)
    again = basket(60, 0)
    start = time.perf_counter()
    plans.bought(again, "cheapest")
    first = (time.perf_counter() - start) * 1000
    times = []
    for _ in range(50):
        same = basket(60, 0)
        start = time.perf_counter()
        plans.bought(same, "cheapest")
        times.append((time.perf_counter() - start) * 1000)
    second = statistics.median(times)
    line("The same basket again, read anew", second / first, 0.1, f"{second:.2f} ms against {first:.1f} ms")


if __name__ == "__main__":
    main()
