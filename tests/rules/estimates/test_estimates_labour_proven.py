"""Properties of shared teardown on random jobs: each is drawn from one seed and held to several at once.

The Shapley value is taken from its definition, every order of arrival; what a set of works takes is counted
here a second time. S. C. Littlechild, G. Owen, "A Simple Expression for the Shapley Value in a Special Case",
Management Science 20 (1973), gives the formula of the airport game.
"""

from fractions import Fraction
from itertools import permutations
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.labour import Step, Work, exact_shares, later_minutes, now_minutes, shares, total_minutes
from tests import profiles

seeds = st.integers(0, 2**32)


def random_job(seed):
    """Up to 7 steps, each requiring only earlier ones, and up to 5 works over them."""
    random = Random(seed)
    steps = {}
    for n in range(random.randint(1, 7)):
        requires = random.sample(sorted(steps), random.randint(0, min(n, 2)))
        steps[f"s{n}"] = Step(f"s{n}", random.randint(0, 90), frozenset(requires))
    works = [
        Work(f"w{n}", random.randint(0, 60), frozenset(random.sample(sorted(steps), min(len(steps), k))))
        for n, k in enumerate(random.choices(range(4), k=random.randint(0, 5)))
    ]
    return works, steps


def counted(works, steps):
    """Minutes of every subset of the works, by bit mask, worked out by brute force."""

    def opened(key):
        return {key}.union(*(opened(before) for before in steps[key].requires))

    ways = [set().union(*(opened(key) for key in work.steps)) for work in works]
    return [
        sum(works[n].minutes for n in range(len(works)) if mask >> n & 1)
        + sum(steps[key].minutes for key in set().union(*(w for n, w in enumerate(ways) if mask >> n & 1)))
        for mask in range(1 << len(works))
    ]


def over_all_orders(minutes, count):
    """What each adds to those before it, averaged over every order of arrival."""
    added = [0] * count
    orders = 0
    for arrival in permutations(range(count)):
        orders += 1
        mask = 0
        for n in arrival:
            added[n] += minutes[mask | 1 << n] - minutes[mask]
            mask |= 1 << n
    return [Fraction(total, orders) for total in added]


@settings(max_examples=profiles.PROVEN)
@given(seeds)
def test_shares_sum_exactly_and_are_the_average_over_all_orders(seed):
    works, steps = random_job(seed)
    minutes = counted(works, steps)
    assert total_minutes(works, steps) == minutes[-1]
    exact, whole = exact_shares(works, steps), shares(works, steps)
    assert list(exact.values()) == over_all_orders(minutes, len(works))
    assert sum(whole.values()) == minutes[-1]
    for n, work in enumerate(works):
        assert abs(whole[work.key] - exact[work.key]) < 1
        # Nobody pays more than the work alone would take.
        assert exact[work.key] <= minutes[1 << n]


@settings(max_examples=profiles.PROVEN)
@given(seeds)
def test_minutes_are_monotone_and_submodular_and_now_is_never_more_than_later(seed):
    works, steps = random_job(seed)
    full = 1 << len(works)
    chosen = [[w for n, w in enumerate(works) if mask >> n & 1] for mask in range(full)]
    minutes = [total_minutes(some, steps) for some in chosen]
    assert minutes == counted(works, steps)
    for one in range(full):
        for other in range(one):
            assert minutes[one] + minutes[other] >= minutes[one | other] + minutes[one & other]
            assert minutes[one & other] <= minutes[one]
    for n, work in enumerate(works):
        # Beside all the others the saving is largest; submodularity carries it to any of them.
        now = now_minutes(work, chosen[full - 1 - (1 << n)], steps)
        assert now == minutes[full - 1] - minutes[full - 1 - (1 << n)]
        assert now <= later_minutes(work, steps) == minutes[1 << n]


@settings(max_examples=profiles.PROVEN)
@given(seeds)
def test_the_airport_game_by_the_formula_and_over_all_orders(seed):
    random = Random(seed)
    lengths = sorted(random.choices(range(1, 4000), k=random.randint(1, 5)))
    grown = [length - before for before, length in zip([0, *lengths], lengths, strict=False)]
    steps = {
        f"s{n}": Step(f"s{n}", more, frozenset({f"s{n - 1}"} if n else ())) for n, more in enumerate(grown)
    }
    works = [Work(f"w{n}", 0, frozenset({f"s{n}"})) for n in range(len(lengths))]
    # Littlechild and Owen: each section is shared equally by the aircraft that need it.
    users = len(lengths)
    formula = [
        sum((Fraction(more, users - k) for k, more in enumerate(grown[: n + 1])), Fraction(0))
        for n in range(users)
    ]
    assert list(exact_shares(works, steps).values()) == formula
    assert over_all_orders(counted(works, steps), users) == formula
    assert sum(shares(works, steps).values()) == lengths[-1]
