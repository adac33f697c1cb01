"""Minutes, access and parts of items together: each counted once, and what one item adds to the rest."""

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.derive import TestDone, derive
from estimates.rules.labour import exact_shares, shares, total_minutes
from estimates.rules.plan import Item, NeedAt, StepAt, Task
from estimates.rules.workload import ACCESS, added, as_labour, workload
from tests import profiles
from tests.rules.estimates.small_engine import ENGINE, ONE, THREE, TWO, A, B, book, found, need, operation


def plan_of(*places, tests=()):
    return derive(book(), [found("heater", place) for place in places], tests)


def test_two_heaters_under_one_cover_open_it_once():
    # pipe 12 + cover 30 + first 5 + 2 x 10
    plan = plan_of(ONE, TWO)
    assert workload(plan.group("firm"), plan.steps).minutes == 67


def test_heaters_on_both_banks_open_two_covers_and_one_pipe():
    # pipe 12 + covers 60 + first 5 + 2 x 10
    plan = plan_of(ONE, THREE)
    assert workload(plan.group("firm"), plan.steps).minutes == 97


def test_one_gasket_at_one_bank_is_one_gasket_whoever_opens_the_cover():
    plan = derive(book(), [found("heater", ONE), found("harness", A)], [TestDone("resistance", TWO)])
    load = workload(plan.group("firm"), plan.steps)
    assert load.needs["gasket", "A"].quantity == 1
    assert load.needs["screw", "A"].quantity == 5
    assert load.owners["gasket", "A"] == ACCESS


def test_where_two_want_one_part_at_one_place_the_larger_number_is_used():
    few = operation(
        "harness-replace", "bank", "harness", 10, 10, needs=(need("clip", 2, necessity="consumable"),)
    )
    plan = derive(book(few), [found("harness", A), found("heater", ONE), found("clip", A, quantity=3)], [])
    firm = workload(plan.group("firm"), plan.steps)
    clips = next(item for item in plan.items if item.key == "damaged:clip@A")
    assert firm.needs["clip", "A"].quantity == 2
    assert workload([*plan.group("firm"), clips], plan.steps).needs["clip", "A"].quantity == 3
    assert [n.quantity for n in added(clips, firm, plan.steps).needs] == [1]


def test_extracting_a_heater_under_the_open_cover_adds_only_its_own_minutes():
    plan = plan_of(ONE)
    firm = workload(plan.group("firm"), plan.steps)
    extract = next(item for item in plan.items if item.key == "heater-extract@1")
    more = added(extract, firm, plan.steps)
    assert more.minutes == 60
    assert [(n.part_type, n.quantity) for n in more.needs] == [("reamer", 1)]


def test_work_on_the_other_bank_adds_its_cover_and_what_the_cover_uses():
    plan = derive(book(), [found("heater", ONE), found("harness", B, "advisory")], [])
    firm = workload(plan.group("firm"), plan.steps)
    harness = next(item for item in plan.items if item.key == "harness-replace@B")
    more = added(harness, firm, plan.steps)
    assert more.minutes == 10 + 30
    assert sorted((n.part_type, n.quantity) for n in more.needs) == [
        ("gasket", 1),
        ("harness", 1),
        ("screw", 5),
    ]


def test_an_item_whose_tasks_are_all_done_already_adds_nothing():
    plan = plan_of(ONE)
    firm = workload(plan.group("firm"), plan.steps)
    again = replace(plan.group("firm")[0], key="again")
    assert added(again, firm, plan.steps) == type(added(again, firm, plan.steps))(0, ())


def test_a_task_that_stands_twice_in_an_item_counts_once():
    task = plan_of(ONE).group("firm")[0].tasks[0]
    steps = plan_of(ONE).steps
    twice = Item("twice", "optional", "twice", (), (task, task))
    assert added(twice, workload([], steps), steps).minutes == workload([twice], steps).minutes == 57


def test_a_test_and_a_repair_under_one_cover_share_the_way_there_equally():
    # pipe 12 and cover 30 are shared by the test (5) and the heater (15): 21 + 5 and 21 + 15
    plan = plan_of(ONE, tests=[TestDone("resistance", ONE)])
    works, steps = as_labour(workload(plan.group("firm"), plan.steps))
    assert shares(works, steps) == {"test:resistance@1": 26, "heater-replace@1": 36}


def test_no_items_take_nothing():
    load = workload([], {})
    assert (load.minutes, load.tasks, load.needs, load.opened) == (0, {}, {}, {})


# Any engine whatever

PLACES = [ENGINE, A, B, ONE, TWO, THREE]


def some_needs(random):
    return tuple(
        NeedAt(kind, kind, random.randint(1, 6), random.choice(PLACES), "required")
        for kind in random.choices(["gasket", "seal", "clip"], k=random.randint(0, 3))
    )


def random_engine(seed):
    """Steps that require only earlier ones, tasks over them, and items that may share tasks."""
    random = Random(seed)

    def some(keys, most):
        return random.sample(keys, random.randint(0, min(len(keys), most)))

    steps: dict[str, StepAt] = {}
    for number in range(random.randint(0, 6)):
        key, before = f"s{number}", frozenset(some(sorted(steps), 3))
        steps[key] = StepAt(key, key, A, random.randint(0, 90), before, some_needs(random), ())
    tasks = [
        Task(f"t{n}", f"o{n}", "", A, random.randint(0, 90), frozenset(some(sorted(steps), 6)),
             some_needs(random), ())
        for n in range(random.randint(1, 6))
    ]  # fmt: skip
    items = [
        Item(
            f"i{n}", "firm", "", (), tuple(random.choices(tasks, k=random.randint(0, 4))), some_needs(random)
        )
        for n in range(random.randint(1, 5))
    ]
    return steps, items, random


def quantities(load):
    return {key: n.quantity for key, n in load.needs.items()}


@settings(max_examples=profiles.PROVEN)
@given(st.integers(0, 2**32))
def test_what_an_item_adds_is_the_difference_and_never_more_than_it_takes_later(seed):
    steps, (item, *rest), random = random_engine(seed)
    base, both, alone = workload(rest, steps), workload([*rest, item], steps), workload([item], steps)
    now = added(item, base, steps)
    assert now.minutes == both.minutes - base.minutes <= alone.minutes
    grown = {k: q - quantities(base).get(k, 0) for k, q in quantities(both).items()}
    assert {n.key: n.quantity for n in now.needs} == {k: q for k, q in grown.items() if q}
    assert all(n.quantity <= quantities(alone)[n.key] for n in now.needs)
    # Beside fewer items it never adds less.
    fewer = [other for other in rest if random.random() < 0.5]
    assert added(item, workload(fewer, steps), steps).minutes >= now.minutes


@settings(max_examples=profiles.PROVEN)
@given(st.integers(0, 2**32))
def test_a_workload_agrees_with_the_labour_rules_whatever_the_order_and_more_never_takes_less(seed):
    steps, items, random = random_engine(seed)
    load = workload(items, steps)
    works, plain = as_labour(load)
    assert load.minutes == total_minutes(works, plain) == sum(shares(works, plain).values())
    assert sum(exact_shares(works, plain).values()) == load.minutes
    other = workload(random.sample(items, len(items)), steps)
    assert (load.minutes, quantities(load), set(load.opened)) == (
        other.minutes,
        quantities(other),
        set(other.opened),
    )
    fewer = workload(items[:-1], steps)
    assert fewer.minutes <= load.minutes
    assert all(q <= quantities(load)[key] for key, q in quantities(fewer).items())
    seen: set[str] = set()
    for key, step in load.opened.items():
        assert step.requires <= seen
        seen.add(key)
