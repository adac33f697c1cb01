"""Fitment under random rules and random knowledge, against a two-valued evaluator written on its own below.

What holds, with every engine the facts may be about tried one by one (any day left, any serial number of the
scheme, any option value, one that no rule names included):

1. The verdict is exactly that of trying: "fits" when the part fits every one of them, "does not fit" when it
   fits none, else "cannot tell" (supervaluation: B. van Fraassen, Singular terms, truth-value gaps, and free
   logic, Journal of Philosophy 63, 1966; cited from memory). Kleene's tables alone would leave some open.
2. Learning more never changes a decided verdict, since it leaves fewer engines to try.
3. The missing facts decide it whatever their values, with the others left unknown, and no smaller set does:
   by trying every set and every value.

The customer's phrase is held against the same engines in test_catalog_fits_if.py.
"""

import itertools
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.rules.fitment import DateInterval, judge, outcome
from tests.rules.catalog.small_world import (
    ALL_PLACES,
    BANKS,
    NAMES,
    SCHEME,
    by_trying,
    completions,
    knowledge,
    known_facts,
    more_known,
    placed_rule_lists,
    questions,
    rule_lists,
    two_valued,
    two_valued_at,
)


@given(rule_lists, knowledge(), st.data())
@settings(deadline=None)
def test_with_everything_known_the_verdict_is_the_two_valued_answer(some_rules, facts, data):
    engine = data.draw(st.sampled_from(list(completions(facts))))
    expected = "fits" if two_valued(some_rules, engine) else "does not fit"
    assert judge(some_rules, known_facts(engine), SCHEME).outcome == expected


@given(rule_lists, knowledge())
@settings(deadline=None)
def test_the_verdict_is_that_of_trying_every_engine_it_may_be(some_rules, facts):
    expected = by_trying(completions(facts), lambda engine: two_valued(some_rules, engine))
    assert judge(some_rules, facts, SCHEME).outcome == expected


@given(placed_rule_lists, knowledge(), questions, st.booleans(), st.data())
@settings(max_examples=200, deadline=None)
def test_learning_more_never_changes_a_decided_verdict(some_rules, facts, question, banks_told, data):
    scope, position = question
    asked = {"scope": scope, "position": position, "bank_of": BANKS if banks_told else {}}
    before = judge(some_rules, facts, SCHEME, **asked)
    after = judge(some_rules, data.draw(more_known(facts)), SCHEME, **asked)
    told_later = judge(some_rules, facts, SCHEME, **{**asked, "bank_of": BANKS})
    if before.outcome != "cannot tell":
        assert after.outcome == before.outcome
        # Which bank a cylinder is on is knowledge too (where the question already says it is a cylinder).
        assert scope is None or told_later.outcome == before.outcome


@given(placed_rule_lists, knowledge(), questions, st.sampled_from([BANKS, {}]))
@settings(deadline=None)
def test_the_bare_outcome_is_that_of_the_full_verdict(some_rules, facts, question, banks):
    scope, position = question
    full = judge(some_rules, facts, SCHEME, position, scope, bank_of=banks)
    assert outcome(some_rules, facts, SCHEME, position, scope, banks) == full.outcome
    assert full.reasons
    assert bool(full.missing) == (full.outcome == "cannot tell")


@given(placed_rule_lists, knowledge(), st.sampled_from(ALL_PLACES))
@settings(max_examples=150, deadline=None)
def test_at_each_place_the_verdict_is_that_of_trying_every_engine_there(some_rules, facts, place):
    expected = by_trying(completions(facts), lambda engine: two_valued_at(some_rules, engine, place))
    verdict = judge(some_rules, facts, SCHEME, place[1], place[0], bank_of=BANKS)
    assert verdict.outcome == expected


@given(placed_rule_lists, knowledge(), st.data())
@settings(deadline=None)
def test_a_part_that_fits_at_some_place_fits_the_engine_as_a_whole(some_rules, facts, data):
    engine = data.draw(st.sampled_from(list(completions(facts))))
    somewhere = any(two_valued_at(some_rules, engine, place) for place in ALL_PLACES)
    verdict = judge(some_rules, known_facts(engine), SCHEME, bank_of=BANKS)
    # One way only: exclusions that take every single place away one by one are not added up.
    assert not somewhere or verdict.outcome == "fits"


# --- the missing facts, by trying every set -----------------------------------------------------------

FACTS = ("serial", "built", *[f"option:{name}" for name in NAMES])


def told(facts, chosen, engine):
    """The facts after finding out those chosen, the engine being this one."""
    day, serial, *values = engine
    options = dict(facts.options)
    for name, value in zip(NAMES, values, strict=True):
        if f"option:{name}" in chosen:
            options[name] = value
    return replace(
        facts,
        built=DateInterval(day, day) if "built" in chosen else facts.built,
        serial=serial if "serial" in chosen else facts.serial,
        options=options,
    )


def always_decides(some_rules, facts, chosen):
    # Engines that differ only in facts that are not found out give one and the same question.
    seen: dict[tuple[object, ...], tuple[object, ...]] = {}
    for engine in completions(facts):
        key = tuple(
            part for fact, part in zip(("built", "serial", *FACTS[2:]), engine, strict=True) if fact in chosen
        )
        seen.setdefault(key, engine)
    return all(
        judge(some_rules, told(facts, chosen, engine), SCHEME).outcome != "cannot tell"
        for engine in seen.values()
    )


def smallest_by_trying(some_rules, facts):
    if judge(some_rules, facts, SCHEME).outcome != "cannot tell":
        return ()
    for count in range(len(FACTS) + 1):
        for chosen in itertools.combinations(FACTS, count):
            if always_decides(some_rules, facts, chosen):
                return chosen
    raise AssertionError("not even everything decides it")


@given(rule_lists, knowledge())
@settings(max_examples=100, deadline=None)
def test_the_missing_facts_are_the_first_smallest_set_that_always_decides(some_rules, facts):
    verdict = judge(some_rules, facts, SCHEME)
    assert tuple(missing.fact for missing in verdict.missing) == smallest_by_trying(some_rules, facts)
