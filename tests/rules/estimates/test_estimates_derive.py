"""From findings to items, on an engine small enough to follow by hand (see small_engine)."""

from dataclasses import replace
from decimal import Decimal

import pytest

from estimates.rules.derive import TestDone, derive
from estimates.rules.plan import Plan
from estimates.rules.workload import workload
from tests.rules.estimates.small_engine import (
    ENGINE,
    FOUR,
    ONE,
    THREE,
    TWO,
    A,
    B,
    book,
    found,
    need,
    operation,
    resistance,
    risk,
)  # fmt: skip


def item(plan: Plan, key: str):
    return next(item for item in plan.items if item.key == key)


def keys(plan: Plan, group: str) -> list[str]:
    return [item.key for item in plan.group(group)]


# Groups


def test_a_confirmed_fault_is_repaired_firmly():
    plan = derive(book(), [found("belt", ENGINE, "confirmed")], [])
    assert keys(plan, "firm") == ["belt-replace"]


def test_a_suspected_fault_is_repaired_only_if_found_on_opening():
    plan = derive(book(), [found("belt", ENGINE, "suspected")], [])
    assert (keys(plan, "firm"), keys(plan, "contingent")) == ([], ["belt-replace@engine"])


def test_an_advisory_one_is_optional():
    plan = derive(book(), [found("belt", ENGINE, "advisory")], [])
    assert (keys(plan, "contingent"), keys(plan, "optional")) == ([], ["belt-replace@engine"])


@pytest.mark.parametrize(
    ("computed", "judged", "group"),
    [
        ("confirmed", "advisory", "optional"),
        ("suspected", "confirmed", "firm"),
        ("confirmed", "suspected", "contingent"),
    ],
)
def test_a_persons_judgement_decides_the_group(computed, judged, group):
    plan = derive(book(), [found("belt", ENGINE, computed, judged=judged)], [])
    assert len(plan.group(group)) == 1
    assert len(plan.items) == 1


def test_items_stand_firm_first_then_contingent_then_optional():
    findings = [
        found("belt", ENGINE, "advisory"),
        found("relay", ENGINE, "suspected"),
        found("harness", A, "confirmed"),
    ]
    assert [i.group for i in derive(book(), findings, []).items] == ["firm", "contingent", "optional"]


def test_firm_work_at_two_places_is_one_item_and_what_may_be_left_is_decided_place_by_place():
    firm = derive(book(), [found("heater", ONE), found("heater", THREE)], [])
    maybe = derive(book(), [found("heater", ONE, "advisory"), found("heater", THREE, "advisory")], [])
    assert [task.key for task in item(firm, "heater-replace").tasks] == [
        "heater-replace@1",
        "heater-replace@3",
    ]
    assert keys(maybe, "optional") == ["heater-replace@1", "heater-replace@3"]


def test_an_item_says_why_with_the_component_and_its_place():
    plan = derive(book(), [found("heater", THREE, why="open circuit")], [])
    assert item(plan, "heater-replace").why == ("heater, cylinder 3: open circuit",)


def test_the_operation_of_the_lowest_rank_is_the_one_proposed():
    other = operation("belt-tension", "engine", "belt", 5, 5, rank=2)
    assert keys(derive(book(other), [found("belt", ENGINE)], []), "firm") == ["belt-replace"]


# Places


def test_a_fault_of_a_cylinder_is_repaired_on_its_bank_where_the_operation_serves_a_bank():
    bankwise = operation("heater-replace", "bank", "heater", 40, 40, access=("cover",))
    plan = derive(book(bankwise), [found("heater", THREE)], [])
    assert [task.key for task in item(plan, "heater-replace").tasks] == ["heater-replace@B"]


def test_two_findings_that_call_for_one_task_have_it_once_and_both_reasons():
    bankwise = operation("heater-replace", "bank", "heater", 40, 40, access=("cover",))
    plan = derive(book(bankwise), [found("heater", THREE, why="open"), found("heater", FOUR, why="low")], [])
    heaters = item(plan, "heater-replace")
    assert [task.key for task in heaters.tasks] == ["heater-replace@B"]
    assert heaters.why == ("heater, cylinder 3: open", "heater, cylinder 4: low")


def test_a_task_called_for_firmly_and_by_advice_is_firm_only():
    bankwise = operation("heater-replace", "bank", "heater", 40, 40, access=("cover",))
    plan = derive(
        book(bankwise), [found("heater", FOUR, "advisory"), found("heater", THREE, "confirmed")], []
    )
    assert [(i.key, i.group) for i in plan.items] == [("heater-replace", "firm")]


def test_a_fault_of_a_bank_repaired_at_each_cylinder_means_both_cylinders_of_that_bank():
    each = operation("harness-replace", "cylinder", "harness", 10, 10)
    plan = derive(book(each), [found("harness", B)], [])
    assert [task.place.code for task in item(plan, "harness-replace").tasks] == ["3", "4"]


def test_steps_are_opened_at_the_places_the_work_is_at_with_all_they_require():
    plan = derive(book(), [found("heater", THREE)], [])
    assert item(plan, "heater-replace").tasks[0].steps == {"cover@B", "first:heater-replace"}
    assert plan.steps["cover@B"].requires == {"pipe@engine"}
    assert plan.steps["pipe@engine"].minutes == 12


def test_what_the_first_position_takes_more_is_a_step_all_positions_share():
    plan = derive(book(), [found("heater", ONE), found("heater", TWO), found("heater", THREE)], [])
    assert plan.steps["first:heater-replace"].minutes == 15 - 10
    # 5 once, 3 x 10, pipe 12, covers 2 x 30
    assert workload(plan.group("firm"), plan.steps).minutes == 5 + 30 + 12 + 60


def test_equal_first_and_further_minutes_make_no_step():
    assert not [key for key in derive(book(), [found("belt", ENGINE)], []).steps if key.startswith("first:")]


# Risks


NO_CIRCLE = operation("thread-repair", "cylinder", None, 45, 40, access=("cover",))


def test_what_may_break_is_contingent_with_its_condition_and_its_likelihood():
    plan = derive(book(NO_CIRCLE), [found("heater", ONE)], [])
    broken = item(plan, "heater-extract@1")
    assert (broken.group, broken.why, broken.odds) == (
        "contingent", ("only if the heater breaks",), (("heater-replace", Decimal("0.05")),),
    )  # fmt: skip
    assert broken.parents == ("heater-replace",)


def test_what_may_follow_from_that_is_contingent_too_and_hangs_on_it():
    plan = derive(book(), [found("heater", ONE)], [])
    assert keys(plan, "contingent") == ["heater-extract@1", "thread-repair@1"]
    assert item(plan, "thread-repair@1").parents == ("heater-extract@1",)


def test_risks_that_run_in_a_circle_come_to_an_end_with_each_task_once():
    # extraction -> thread repair -> extraction again (the last risk in the data)
    plan = derive(book(), [found("heater", ONE), found("heater", TWO)], [])
    assert sorted(keys(plan, "contingent")) == [
        "heater-extract@1", "heater-extract@2", "thread-repair@1", "thread-repair@2",
    ]  # fmt: skip


def test_an_operation_that_may_lead_to_itself_at_another_place_stays_one_task_a_place():
    looped = operation(
        "belt-replace", "engine", "belt", 20, 20, risks=(risk("harness-replace", "if chafed"),)
    )
    back = operation(
        "harness-replace", "bank", "harness", 10, 10, risks=(risk("belt-replace", "if in the way"),)
    )
    plan = derive(book(looped, back), [found("belt", ENGINE)], [])
    assert [(i.key, i.group) for i in plan.items] == [
        ("belt-replace", "firm"), ("harness-replace@A", "contingent"), ("harness-replace@B", "contingent"),
    ]  # fmt: skip


def test_a_firm_repair_does_not_give_as_its_reason_what_might_have_called_for_it():
    linked = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),)
    )
    plan = derive(book(linked), [found("relay", ENGINE), found("belt", ENGINE, why="frayed")], [])
    assert item(plan, "belt-replace").why == ("belt: frayed",)


def test_a_suspected_fault_does_not_start_to_hang_on_another_item():
    linked = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),)
    )
    plan = derive(book(linked), [found("relay", ENGINE), found("belt", ENGINE, "suspected")], [])
    belt = item(plan, "belt-replace@engine")
    assert (belt.group, belt.parents) == ("contingent", ())
    assert belt.why == ("belt: seen", "only if torn")


def test_what_could_wait_but_may_have_to_follow_from_firm_work_is_contingent():
    # Left optional it would be missing from the total that is "not above this without asking again".
    linked = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),)
    )
    plan = derive(book(linked), [found("relay", ENGINE), found("belt", ENGINE, "advisory")], [])
    belt = item(plan, "belt-replace@engine")
    assert (belt.group, belt.why) == ("contingent", ("belt: seen", "only if torn"))


def test_what_could_wait_stays_optional_where_only_another_option_may_call_for_it():
    linked = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),)
    )
    plan = derive(book(linked), [found("relay", ENGINE, "advisory"), found("belt", ENGINE, "advisory")], [])
    assert keys(plan, "optional") == ["relay-replace@engine", "belt-replace@engine"]


def test_once_that_option_is_taken_in_the_other_may_have_to_follow_and_is_contingent():
    linked = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "only if torn"),)
    )
    findings = [found("relay", ENGINE, "advisory"), found("belt", ENGINE, "advisory")]
    plan = derive(book(linked), findings, [], included={"relay-replace@engine"})
    assert (keys(plan, "firm"), keys(plan, "contingent")) == (
        ["relay-replace@engine"],
        ["belt-replace@engine"],
    )


def test_a_risk_of_an_option_names_the_option_as_its_parent():
    plan = derive(book(NO_CIRCLE), [found("heater", ONE, "advisory")], [])
    assert item(plan, "heater-extract@1").parents == ("heater-replace@1",)
    assert item(plan, "heater-extract@1").group == "contingent"


def test_a_risk_shared_by_firm_and_optional_work_has_both_as_parents():
    bankwise = operation("heater-extract", "bank", None, 60, 50)
    plan = derive(book(bankwise), [found("heater", ONE), found("heater", TWO, "advisory")], [])
    assert item(plan, "heater-extract@A").parents == ("heater-replace", "heater-replace@2")


# Small parts that broke


def test_a_broken_small_part_is_an_optional_line_of_the_stated_number_of_pieces():
    plan = derive(book(), [found("heater", ONE), found("clip", A, quantity=3, why="brittle")], [])
    clips = item(plan, "damaged:clip@A")
    assert (clips.group, clips.title, clips.tasks) == ("optional", "clip, 3 pieces", ())
    assert [(n.part_type, n.quantity, n.place.code, n.necessity) for n in clips.extras] == [
        ("clip", 3, "A", "if-damaged")
    ]
    # Whoever comes back for it has to take the cover off again.
    assert clips.access == {"cover@A"}


def test_one_broken_piece_is_called_a_piece():
    plan = derive(book(), [found("heater", ONE), found("clip", A)], [])
    assert item(plan, "damaged:clip@A").title == "clip, 1 piece"


def test_parts_used_only_if_damaged_are_left_out_without_a_finding():
    plan = derive(book(), [found("heater", ONE)], [])
    assert {n.part_type for n in workload(plan.items, plan.steps).needs.values()} == {
        "heater", "grease", "gasket", "screw", "reamer", "insert",
    }  # fmt: skip


def test_a_broken_part_that_no_chosen_work_replaces_is_said_with_what_would_replace_it():
    plan = derive(book(), [found("belt", ENGINE), found("clip", A)], [])
    assert [note.what for note in plan.unresolved] == ["clip, bank A"]
    assert "none of the chosen work replaces it; that happens with: cover" in plan.unresolved[0].why


def test_a_part_broken_on_the_bank_that_nobody_opens_is_said_not_sold():
    plan = derive(book(), [found("heater", ONE), found("clip", B)], [])
    assert [note.what for note in plan.unresolved] == ["clip, bank B"]
    assert plan.group("optional") == ()


def test_a_finding_that_nothing_in_the_service_data_repairs_is_said():
    plan = derive(book(), [found("bracket", ENGINE)], [])
    assert plan.items == ()
    assert plan.unresolved[0].what == "bracket, the engine"
    assert "no operation that repairs it" in plan.unresolved[0].why


# Tests carried out


def test_tests_carried_out_are_one_firm_item_that_is_done():
    plan = derive(book(), [], [TestDone("resistance", ONE), TestDone("resistance", TWO)])
    tests = item(plan, "tests")
    assert (tests.group, tests.done, len(tests.tasks)) == ("firm", True, 2)
    assert tests.why == ("2 readings taken; access counted once with the repair",)
    # 5 + 2 of its own, and the way there: pipe 12, cover A 30
    assert workload(plan.items, plan.steps).minutes == 7 + 42


def test_a_cover_that_was_off_for_a_test_is_not_charged_again_with_the_repair():
    tests = [TestDone("resistance", ONE)]
    apart = workload(derive(book(), [], tests).items, derive(book(), [], tests).steps).minutes
    plan = derive(book(), [found("heater", ONE)], tests)
    both = workload(plan.group("firm"), plan.steps).minutes
    assert (apart, both) == (5 + 42, 5 + 42 + 15)


def test_a_test_on_the_other_bank_opens_the_other_cover():
    plan = derive(book(), [found("heater", ONE)], [TestDone("resistance", THREE)])
    assert workload(plan.group("firm"), plan.steps).minutes == 15 + 5 + 12 + 30 + 30


def test_no_tests_make_no_item():
    assert derive(book(), [], []).items == ()


# Parts at their places


def test_needs_are_at_the_position_the_bank_or_the_job():
    many = operation(
        "heater-replace", "cylinder", "heater", 15, 10,
        needs=(need("heater", 1), need("seal", 2, "bank"), need("grease", 1, "job")),
    )  # fmt: skip
    plan = derive(book(many), [found("heater", ONE), found("heater", TWO), found("heater", THREE)], [])
    needs = workload(plan.group("firm"), plan.steps).needs
    assert {key: n.quantity for key, n in needs.items()} == {
        ("heater", "1"): 1, ("heater", "2"): 1, ("heater", "3"): 1,
        ("seal", "A"): 2, ("seal", "B"): 2, ("grease", "engine"): 1,
    }  # fmt: skip


# Controls


REMOVAL = "recirculation-off"


def removal(road_use: str) -> Plan:
    return derive(book(), [found("valve", ENGINE)], [], road_use=road_use)


def test_removing_a_control_is_refused_in_road_use_with_the_reason():
    plan = removal("yes")
    assert plan.items == ()
    assert plan.refused[0].what == REMOVAL
    assert "in road use" in plan.refused[0].why
    assert "local law decides elsewhere" in plan.refused[0].why


def test_removing_a_control_waits_for_an_answer_while_road_use_is_not_known():
    plan = removal("unknown")
    assert plan.items == ()
    assert "needs to know whether the machine is in road use" in plan.refused[0].why


def test_removing_a_control_is_offered_where_the_machine_is_not_in_road_use():
    plan = removal("no")
    assert keys(plan, "firm") == [REMOVAL]
    assert plan.refused == ()


def test_a_removal_that_would_follow_from_a_risk_is_refused_once():
    risky = operation("relay-replace", "engine", "relay", 8, 8, risks=(risk(REMOVAL, "if stuck"),))
    plan = derive(book(risky), [found("relay", ENGINE), found("valve", ENGINE)], [], road_use="yes")
    assert [note.what for note in plan.refused] == [REMOVAL]
    assert keys(plan, "contingent") == []


# Taken in


def test_an_option_taken_in_is_firm_keeps_its_key_and_remembers_what_it_was():
    plan = derive(book(), [found("belt", ENGINE, "advisory")], [], included={"belt-replace@engine"})
    belt = item(plan, "belt-replace@engine")
    assert (belt.group, belt.origin) == ("firm", "optional")


def test_taking_a_firm_item_in_changes_nothing():
    findings = [found("belt", ENGINE)]
    assert derive(book(), findings, [], included={"belt-replace"}) == derive(book(), findings, [])


def test_taking_an_option_in_changes_no_other_item():
    findings = [found("heater", ONE), found("belt", ENGINE, "advisory"), found("clip", A)]
    before = {i.key: i for i in derive(book(), findings, []).items}
    after = {i.key: i for i in derive(book(), findings, [], included={"belt-replace@engine"}).items}
    belt = replace(before["belt-replace@engine"], group="firm", origin="optional")
    assert after == {**before, "belt-replace@engine": belt}


def test_operations_named_like_the_builders_own_items_are_kept_apart():
    clash = operation("tests", "engine", "belt", 20, 20)
    plain = operation("belt-replace", "engine", None, 1, 1)
    plan = derive(book(clash, plain), [found("belt", ENGINE)], [TestDone("resistance", ONE)])
    assert len(plan.group("firm")) == 2
    assert sum(i.done for i in plan.items) == 1


def test_a_bank_wide_test_with_its_own_first_minutes_shares_them():
    point = resistance("bank-test", scope="bank", minutes=9, minutes_further=4)
    plan = derive(book(test_points=(point,)), [], [TestDone("bank-test", A), TestDone("bank-test", B)])
    assert workload(plan.items, plan.steps).minutes == 9 + 4 + 12 + 30 + 30
