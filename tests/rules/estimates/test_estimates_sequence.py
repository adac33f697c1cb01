"""The order of taking apart and putting back: what must come first does, one bank at a time."""

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.derive import derive
from estimates.rules.plan import StepAt, Task
from estimates.rules.sequence import Places, in_order_of_place, refit, teardown
from shop.rules.errors import Refused
from tests import profiles
from tests.rules.estimates.small_engine import ENGINE, FOUR, ONE, THREE, TWO, V4, A, B, book, found


def step(code, place, *requires):
    key = f"{code}@{place.code}"
    return StepAt(key, code, place, 5, frozenset(requires), (), ())


def keys(steps):
    return [one.key for one in steps]


def test_the_pipe_comes_off_before_the_covers_and_one_bank_before_the_other():
    plan = derive(book(), [found("heater", place) for place in (FOUR, ONE, THREE)], [])
    assert keys(teardown(plan.steps.values(), V4)) == ["pipe@engine", "cover@A", "cover@B"]


def test_back_on_goes_last_off_first():
    plan = derive(book(), [found("heater", FOUR), found("heater", ONE)], [])
    assert keys(refit(plan.steps.values(), V4)) == ["cover@B", "cover@A", "pipe@engine"]


def test_what_the_first_position_takes_longer_is_no_teardown():
    plan = derive(book(), [found("heater", ONE)], [])
    assert "first:heater-replace" in plan.steps
    assert keys(teardown(plan.steps.values(), V4)) == ["pipe@engine", "cover@A"]


def test_a_bank_is_finished_cylinder_by_cylinder_before_the_next_is_begun():
    steps = [step("lead", place) for place in (THREE, TWO, FOUR, ONE)]
    steps += [step("cover", B), step("cover", A)]
    order = keys(teardown(steps, V4))
    assert order == ["cover@A", "lead@1", "lead@2", "cover@B", "lead@3", "lead@4"]


def test_a_bank_is_left_early_only_where_something_else_has_to_come_off_first():
    steps = [step("cover", A), step("rail", ENGINE, "cover@A", "cover@B"), step("lead", A, "rail@engine")]
    steps += [step("cover", B), step("lead", B, "cover@B")]
    assert keys(teardown(steps, V4)) == ["cover@A", "cover@B", "lead@B", "rail@engine", "lead@A"]


def test_steps_that_wait_for_each_other_are_refused_by_name():
    with pytest.raises(Refused, match="cover@A, lead@A wait for each other"):
        teardown([step("cover", A, "lead@A"), step("lead", A, "cover@A")], V4)


def test_work_goes_place_by_place_too():
    tasks = [Task(p.code, "o", "", p, 5, frozenset(), (), ()) for p in (FOUR, ONE, ENGINE, B, TWO)]
    assert [task.key for task in in_order_of_place(tasks, V4)] == ["engine", "1", "2", "B", "4"]


@settings(max_examples=profiles.PROVEN)
@given(st.integers(0, 2**32))
def test_any_engine_comes_apart_in_an_order_that_can_be_done_and_keeps_to_one_bank(seed):
    random = Random(seed)
    steps: dict[str, StepAt] = {}
    for n in range(random.randint(0, 10)):
        before = random.sample(sorted(steps), random.randint(0, min(len(steps), 2)))
        one = step(f"s{n}", random.choice(V4.positions), *before)
        steps[one.key] = one
    shuffled = list(steps.values())
    random.shuffle(shuffled)
    order = teardown(shuffled, V4)
    assert sorted(keys(order)) == sorted(steps)
    places, done, bank = Places(V4), set(), 0
    for n, one in enumerate(order):
        assert one.requires <= done
        if places.bank(one.place) != bank:
            # Left only because nothing of the bank can be done next.
            assert not [s for s in order[n:] if places.bank(s.place) == bank and s.requires <= done]
        bank = places.bank(one.place)
        done.add(one.key)
    assert refit(shuffled, V4) == order[::-1]
