"""Where a rule speaks, worked by hand on an invented V engine: banks A and B, cylinders 1-3 on A, 4-6 on B.

That a part for cylinders is no part for a bank, and that taking away one place leaves the others, is
common practice, no source.
"""

from dataclasses import replace

import pytest

from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge, sentence
from catalog.rules.kleene import Truth

EVERY = Rule("R1", "GX-1042", "V6-1", "applies", "cylinder", None, 1, None, None, None, None, ())
THIRD = replace(EVERY, key="R3", position="3")
BANKS = {"1": "A", "2": "A", "3": "A", "4": "B", "5": "B", "6": "B"}
ENGINE = UnitFacts("V6-1", DateInterval(), None, {})
FEED = (("feed", "two-wire"),)


def excluded(scope, position=None, options=()):
    return replace(EVERY, key="X", polarity="excludes", scope=scope, position=position, options=options)


def outcome(rules, scope=None, position=None, bank_of=BANKS):
    return judge(rules, ENGINE, None, position=position, scope=scope, bank_of=bank_of).outcome


@pytest.mark.parametrize(("position", "expected"), [("3", "fits"), ("1", "does not fit"), (None, "fits")])
def test_a_rule_for_one_cylinder_speaks_for_that_cylinder_and_for_the_engine_as_a_whole(position, expected):
    assert outcome([THIRD], position=position) == expected
    assert outcome([THIRD], "cylinder", position) == expected


def test_the_reason_names_the_place_the_rule_speaks_of_and_the_one_asked_about():
    verdict = judge([THIRD], ENGINE, None, position="1", scope="cylinder")
    assert sentence(verdict) == "It does not fit: it is listed for cylinder 3 only, not for cylinder 1."
    assert (verdict.reasons[0].fact, verdict.reasons[0].truth) == ("position", Truth.FALSE)


@pytest.mark.parametrize(
    ("scope", "position"), [("cylinder", "3"), ("cylinder", None), (None, "3"), (None, None)]
)
def test_a_rule_for_every_cylinder_speaks_for_each_of_them(scope, position):
    assert outcome([EVERY], scope, position) == "fits"


@pytest.mark.parametrize(("scope", "position"), [("bank", "A"), ("bank", None), ("engine", None)])
def test_a_rule_for_cylinders_does_not_speak_for_another_kind_of_place(scope, position):
    assert outcome([EVERY], scope, position) == "does not fit"


# Rows: where the exclusion stands. Columns: cylinder 3, cylinder 4, any cylinder, the engine as a whole.
@pytest.mark.parametrize(
    ("exclusion", "third", "fourth", "somewhere"),
    [
        (excluded("engine"), "does not fit", "does not fit", "does not fit"),
        (excluded("engine", "engine"), "does not fit", "does not fit", "does not fit"),
        (excluded("bank"), "does not fit", "does not fit", "does not fit"),
        (excluded("bank", "A"), "does not fit", "fits", "fits"),
        (excluded("cylinder"), "does not fit", "does not fit", "does not fit"),
        (excluded("cylinder", "3"), "does not fit", "fits", "fits"),
        (excluded("cylinder", "3", FEED), "cannot tell", "fits", "fits"),
        (excluded("bank", "A", FEED), "cannot tell", "fits", "fits"),
    ],
)
def test_an_exclusion_reaches_what_lies_inside_its_place(exclusion, third, fourth, somewhere):
    rules = [EVERY, exclusion]
    assert outcome(rules, "cylinder", "3") == outcome(rules, None, "3") == third
    assert outcome(rules, "cylinder", "4") == outcome(rules, None, "4") == fourth
    assert outcome(rules, "cylinder") == outcome(rules) == somewhere


def test_an_exclusion_of_the_only_place_listed_leaves_nothing():
    assert outcome([THIRD, excluded("cylinder", "3")]) == "does not fit"
    assert outcome([THIRD, excluded("bank", "A")]) == "does not fit"
    assert outcome([THIRD, excluded("bank", "B")]) == "fits"


def test_an_exclusion_for_cylinders_leaves_a_part_of_the_engine_itself_alone():
    whole = replace(EVERY, scope="engine")
    assert outcome([whole, excluded("cylinder")]) == "fits"


def test_a_place_that_is_taken_away_is_told_when_the_part_fits_elsewhere():
    verdict = judge([EVERY, excluded("cylinder", "3")], ENGINE, None)
    assert [reason.text for reason in verdict.reasons] == [
        "it is listed for every engine of family V6-1",
        "it is excluded for cylinder 3, which leaves the rest of the engine",
    ]


def test_an_exclusion_for_a_bank_is_open_while_nobody_said_which_bank_the_cylinder_is_on():
    verdict = judge([EVERY, excluded("bank", "A")], ENGINE, None, position="3", scope="cylinder")
    assert verdict.outcome == "cannot tell"
    assert sentence(verdict).endswith("that needs the bank cylinder 3 is on.")
    assert verdict.reasons[0].text == "it is excluded for bank A, and the bank cylinder 3 is on is not known"


def test_the_quantity_is_that_of_the_rule_that_holds():
    assert judge([replace(EVERY, quantity=2)], ENGINE, None).quantity == 2


def test_a_rule_for_the_place_asked_about_gives_the_quantity_before_one_for_all_places():
    rules = [EVERY, replace(THIRD, quantity=2)]
    assert judge(rules, ENGINE, None, position="3", scope="cylinder").quantity == 2
    assert judge(rules, ENGINE, None, position="4", scope="cylinder").quantity == 1


def test_quantities_that_disagree_are_not_chosen_between():
    verdict = judge([EVERY, replace(EVERY, key="R2", quantity=2)], ENGINE, None)
    assert (verdict.outcome, verdict.quantity) == ("fits", None)
    assert verdict.reasons[-1].text == "how many per position is open: the applications give 1 or 2"


def test_a_quantity_that_hangs_on_an_open_rule_is_open_too():
    rules = [EVERY, replace(THIRD, quantity=2, options=FEED)]
    assert judge(rules, ENGINE, None, position="3", scope="cylinder").quantity is None
    assert judge(rules, ENGINE, None, position="4", scope="cylinder").quantity == 1


def test_a_rule_that_does_not_hold_has_no_say_in_the_quantity():
    rules = [EVERY, replace(EVERY, key="R2", quantity=2, options=FEED)]
    facts = replace(ENGINE, options={"feed": "one-wire"})
    assert judge(rules, facts, None).quantity == 1
