"""Shared teardown counted once: published cost-sharing games and hand-worked jobs."""

from decimal import Decimal
from fractions import Fraction
from itertools import permutations

import pytest

from estimates.rules.labour import (
    Factor,
    Step,
    Work,
    billed_hours,
    exact_shares,
    later_minutes,
    needed,
    now_minutes,
    shares,
    total_minutes,
    with_factors,
)
from shop.rules.errors import Refused


def steps_of(*steps):
    return {step.key: step for step in steps}


def step(key, minutes, *requires):
    return Step(key, minutes, frozenset(requires))


def work(key, minutes, *steps):
    return Work(key, minutes, frozenset(steps))


def airport(lengths):
    """A runway in sections: each adds what the next larger aircraft needs, and needs the one before it."""
    sections, works, before = [], [], 0
    for number, length in enumerate(lengths):
        needs = () if number == 0 else (f"section {number - 1}",)
        sections.append(step(f"section {number}", length - before, *needs))
        works.append(work(f"aircraft {number}", 0, f"section {number}"))
        before = length
    return works, steps_of(*sections)


def shapley_over_all_orders(works, steps):
    """The definition: what each adds to those before it, averaged over every order of arrival."""
    orders = list(permutations(works))
    added = {each.key: Fraction(0) for each in works}
    for arrival in orders:
        for place, each in enumerate(arrival):
            more = total_minutes(arrival[: place + 1], steps) - total_minutes(arrival[:place], steps)
            added[each.key] += Fraction(more, len(orders))
    return added


# S. C. Littlechild, G. Owen, "A Simple Expression for the Shapley Value in a Special Case", Management
# Science 20 (1973): the airport game. First row as worked in encyclopaedia articles on the airport problem;
# the other two as worked at thoughtfulexaminations.com.
AIRPORTS = [
    ((8, 11, 13, 18), (2, 3, 4, 9)),
    ((1500, 2200, 3000), (500, 850, 1650)),
    ((1500, 2200, 3500), (500, 850, 2150)),
]


@pytest.mark.parametrize(("costs", "expected"), AIRPORTS)
def test_the_airport_game_is_shared_as_published(costs, expected):
    works, steps = airport(costs)
    assert tuple(shares(works, steps).values()) == expected


@pytest.mark.parametrize(("costs", "expected"), AIRPORTS)
def test_the_airport_game_averaged_over_all_orders_agrees(costs, expected):
    works, steps = airport(costs)
    assert tuple(shapley_over_all_orders(works, steps).values()) == expected


# Worked by hand: cover 30 needs the intake pipe 12; the harness takes 10 of its own under the cover.
# Heaters of the bank: 20 of their own, under the cover. Together 12 + 30 + 10 + 20 = 72, and the 42
# minutes of pipe and cover are 21 each: harness 31, heaters 41.
ENGINE = steps_of(step("pipe", 12), step("cover", 30, "pipe"), step("tray", 5))
HARNESS = work("harness", 10, "cover")
HEATERS = work("heaters", 20, "cover")
TRAY = work("leak", 15, "tray")


def test_a_step_brings_its_prerequisites_with_it():
    assert needed(HARNESS, ENGINE) == {"pipe", "cover"}


def test_a_shared_cover_is_counted_once():
    assert total_minutes([HARNESS, HEATERS], ENGINE) == 72


def test_a_shared_cover_is_split_equally():
    assert shares([HARNESS, HEATERS], ENGINE) == {"harness": 31, "heaters": 41}


def test_a_step_only_one_needs_is_its_own():
    assert shares([HARNESS, HEATERS, TRAY], ENGINE)["leak"] == 20


def test_no_work_takes_no_minutes():
    assert total_minutes([], ENGINE) == 0
    assert shares([], ENGINE) == {}


def test_works_of_no_minutes_share_none():
    assert shares([work("look", 0)], ENGINE) == {"look": 0}


def test_an_odd_minute_goes_to_the_earlier_of_two_equal_works():
    assert shares([work("a", 0, "tray"), work("b", 0, "tray")], ENGINE) == {"a": 3, "b": 2}


def test_the_exact_shares_are_fractions():
    assert exact_shares([work("a", 0, "tray"), work("b", 1, "tray")], ENGINE) == {
        "a": Fraction(5, 2),
        "b": Fraction(7, 2),
    }


def test_done_now_it_costs_only_its_own_minutes_while_the_cover_is_off():
    assert now_minutes(HEATERS, [HARNESS], ENGINE) == 20


def test_done_later_it_costs_the_cover_again():
    assert later_minutes(HEATERS, ENGINE) == 62


def test_now_for_a_selected_work_is_what_leaving_it_out_would_save():
    assert now_minutes(HEATERS, [HARNESS, HEATERS], ENGINE) == 20


def test_a_cover_already_off_for_a_test_is_not_charged_again():
    tested = work("measure heaters", 8, "cover")
    assert now_minutes(HEATERS, [tested], ENGINE) == 20


def test_the_extra_of_the_first_position_is_paid_once_as_a_step():
    # First injector 40 minutes, each further one 25: a step of 15 for setting up, then 25 each.
    steps = ENGINE | steps_of(step("set up injector tools", 15))
    works = [work(f"injector {n}", 25, "set up injector tools") for n in (1, 2, 3)]
    assert total_minutes(works, steps) == 40 + 25 + 25
    assert shares(works, steps) == {"injector 1": 30, "injector 2": 30, "injector 3": 30}


def test_a_step_nobody_described_is_refused_by_name():
    with pytest.raises(Refused, match="'bonnet'"):
        total_minutes([work("a", 5, "bonnet")], ENGINE)


def test_a_prerequisite_nobody_described_is_refused_by_name():
    with pytest.raises(Refused, match="'clamp'"):
        total_minutes([work("a", 5, "hose")], steps_of(step("hose", 4, "clamp")))


def test_steps_that_wait_for_each_other_are_refused():
    circle = steps_of(step("a", 1, "b"), step("b", 1, "a"))
    with pytest.raises(Refused, match=r"a -> b|b -> a"):
        total_minutes([work("w", 5, "a")], circle)


def test_two_works_under_one_key_are_refused():
    with pytest.raises(Refused, match="twice"):
        total_minutes([HARNESS, HARNESS], ENGINE)


@pytest.mark.parametrize("make", [lambda: step("a", -1), lambda: work("a", -1)])
def test_negative_minutes_are_refused(make):
    with pytest.raises(Refused, match="minutes"):
        make()


@pytest.mark.parametrize("minutes", [1.5, True, Decimal(3)])
def test_minutes_that_are_no_whole_number_are_refused(minutes):
    with pytest.raises(Refused, match="whole minutes"):
        step("a", minutes)


# Billing in tenths of an hour is common practice, no source. 0.1 h is 6 minutes, its half 3.
@pytest.mark.parametrize(
    ("minutes", "hours"),
    [(0, "0.0"), (2, "0.0"), (3, "0.1"), (4, "0.1"), (8, "0.1"), (9, "0.2"), (72, "1.2"), (6000, "100.0")],
)
def test_hours_are_rounded_half_up_to_the_tenth(minutes, hours):
    assert str(billed_hours(minutes, Decimal("0.1"))) == hours


@pytest.mark.parametrize(("minutes", "hours"), [(7, "0.00"), (8, "0.25"), (22, "0.25"), (23, "0.50")])
def test_hours_are_rounded_to_the_quarter_where_the_shop_bills_quarters(minutes, hours):
    assert str(billed_hours(minutes, Decimal("0.25"))) == hours


@pytest.mark.parametrize("increment", ["0", "-0.1", "NaN"])
def test_an_increment_that_is_no_positive_number_is_refused(increment):
    with pytest.raises(Refused, match="increment"):
        billed_hours(60, Decimal(increment))


def test_negative_minutes_are_not_billed():
    with pytest.raises(Refused, match="minutes"):
        billed_hours(-1, Decimal("0.1"))


RUST = Factor("corrosion", "seized with corrosion", Decimal("1.5"), frozenset({"cover"}))


def test_a_job_factor_multiplies_the_named_steps_and_says_so():
    factored = with_factors(ENGINE, [RUST])
    assert factored.steps["cover"].minutes == 45
    assert factored.steps["pipe"].minutes == 12
    assert factored.notes == {"cover": "30 to 45 minutes (seized with corrosion, x 1.5)"}


# 5 minutes x 1.48, 1.50 and 1.52: 7.4, 7.5 and 7.6.
@pytest.mark.parametrize(("by", "minutes"), [("1.48", 7), ("1.50", 8), ("1.52", 8)])
def test_a_multiplied_step_is_rounded_half_up_to_the_minute(by, minutes):
    factored = with_factors(ENGINE, [Factor("rust", "rust", Decimal(by), frozenset({"tray"}))])
    assert factored.steps["tray"].minutes == minutes


def test_two_factors_on_one_step_multiply_and_round_once():
    # 5 x 1.1 x 1.1 = 6.05, so 6; rounding in between would give 5.5 to 6, then 6.6 to 7.
    twice = [Factor(k, k, Decimal("1.1"), frozenset({"tray"})) for k in ("rust", "narrow")]
    assert with_factors(ENGINE, twice).steps["tray"].minutes == 6


def test_a_factor_on_an_unknown_step_is_refused():
    with pytest.raises(Refused, match="'bonnet'"):
        with_factors(ENGINE, [Factor("f", "rust", Decimal(2), frozenset({"bonnet"}))])


@pytest.mark.parametrize("by", ["0", "-1", "NaN"])
def test_a_factor_that_is_no_positive_number_is_refused(by):
    with pytest.raises(Refused, match="factor"):
        Factor("f", "rust", Decimal(by), frozenset({"cover"}))
