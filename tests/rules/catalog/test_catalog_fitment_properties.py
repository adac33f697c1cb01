"""Fitment under random rules and random knowledge, against a two-valued evaluator written on its own below.

What holds, with every engine the facts may be about tried one by one (any day left, any serial number of the
scheme, any option value, one that no rule names included):

1. The verdict is exactly that of trying: "fits" when the part fits every one of them, "does not fit" when it
   fits none, else "cannot tell" (supervaluation: B. van Fraassen, Singular terms, truth-value gaps, and free
   logic, Journal of Philosophy 63, 1966). Kleene's tables alone would leave some of it open.
2. Learning more never changes a decided verdict, since it leaves fewer engines to try.
3. The missing facts decide it whatever their values, with the others left unknown, and no smaller set does:
   by trying every set and every value.
4. The customer's phrase is true of an engine exactly when the part fits it.
"""

import itertools
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge, outcome
from catalog.rules.serial import SerialScheme

SCHEME = SerialScheme("two", ("A", "B"), 1)
SERIALS = [f"{prefix}{figure}" for prefix in "AB" for figure in range(10)]
DAY_ONE = date(2014, 1, 1)
DAYS = [DAY_ONE + timedelta(days=n) for n in range(8)]
NAMES = ("connector", "feed")
VALUES = ("x", "y", "some other value")
BANKS = {"1": "A", "2": "A", "3": "B"}
PLACES = [("engine", None), ("bank", None), ("bank", "A"), ("bank", "B"), ("cylinder", None)]
PLACES += [("cylinder", cylinder) for cylinder in BANKS]
ALL_PLACES = [("engine", "engine"), ("bank", "A"), ("bank", "B"), *[("cylinder", c) for c in BANKS]]


def ordered(strategy):
    """Two ends, the first not after the second, each of which may be left open."""
    return st.tuples(st.none() | strategy, st.none() | strategy).map(
        lambda ends: ends if None in ends else tuple(sorted(ends))
    )


@st.composite
def rules(draw, places=((("cylinder", None)),)):
    first_day, last_day = draw(ordered(st.sampled_from(DAYS)))
    first, last = draw(ordered(st.sampled_from(SERIALS)))
    scope, position = draw(st.sampled_from(places))
    asked = draw(st.dictionaries(st.sampled_from(NAMES), st.sampled_from(VALUES[:2]), max_size=2))
    polarity = draw(st.sampled_from(["applies", "applies", "excludes"]))
    return Rule(
        "R", "P", "F", polarity, scope, position, 1, first_day, last_day, first, last, tuple(asked.items())
    )


rule_lists = st.lists(rules(), max_size=4)
placed_rule_lists = st.lists(rules(places=PLACES), max_size=4)


@st.composite
def knowledge(draw):
    first, last = sorted(draw(st.tuples(st.sampled_from(DAYS), st.sampled_from(DAYS))))
    options = draw(st.dictionaries(st.sampled_from(NAMES), st.sampled_from(VALUES)))
    return UnitFacts("F", DateInterval(first, last), draw(st.none() | st.sampled_from(SERIALS)), options)


def completions(facts):
    """Every engine the facts may be about, as (day, serial, options)."""
    days = [day for day in DAYS if facts.built.earliest <= day <= facts.built.latest]
    serials = [facts.serial] if facts.serial else SERIALS
    values = [[facts.options[name]] if name in facts.options else VALUES for name in NAMES]
    return itertools.product(days, serials, *values)


def holds(rule, engine):
    """Two-valued, on its own: plain comparisons; the serials of this scheme sort as text."""
    day, serial, *values = engine
    options = dict(zip(NAMES, values, strict=True))
    return (
        (rule.built_from is None or rule.built_from <= day)
        and (rule.built_until is None or day <= rule.built_until)
        and (rule.serial_from is None or rule.serial_from <= serial)
        and (rule.serial_until is None or serial <= rule.serial_until)
        and all(options[name] == value for name, value in rule.options)
    )


def two_valued(some_rules, engine):
    applied = any(holds(rule, engine) for rule in some_rules if rule.polarity == "applies")
    barred = any(holds(rule, engine) for rule in some_rules if rule.polarity == "excludes")
    return "fits" if applied and not barred else "does not fit"


def known_facts(engine):
    day, serial, *values = engine
    return UnitFacts("F", DateInterval(day, day), serial, dict(zip(NAMES, values, strict=True)))


@given(rule_lists, knowledge(), st.data())
@settings(deadline=None)
def test_with_everything_known_the_verdict_is_the_two_valued_answer(some_rules, facts, data):
    engine = data.draw(st.sampled_from(list(completions(facts))))
    assert judge(some_rules, known_facts(engine), SCHEME).outcome == two_valued(some_rules, engine)


def by_trying(answers):
    return answers.pop() if len(answers) == 1 else "cannot tell"


@given(rule_lists, knowledge())
@settings(deadline=None)
def test_the_verdict_is_that_of_trying_every_engine_it_may_be(some_rules, facts):
    verdict = judge(some_rules, facts, SCHEME)
    answers = {two_valued(some_rules, engine) for engine in completions(facts)}
    assert verdict.outcome == by_trying(answers)


@st.composite
def more_known(draw, facts):
    """The same engine after some looking: nothing taken back, anything possibly added."""
    inside = [day for day in DAYS if facts.built.earliest <= day <= facts.built.latest]
    first, last = sorted(draw(st.tuples(st.sampled_from(inside), st.sampled_from(inside))))
    serial = facts.serial or draw(st.none() | st.sampled_from(SERIALS))
    added = draw(st.dictionaries(st.sampled_from(NAMES), st.sampled_from(VALUES)))
    return UnitFacts("F", DateInterval(first, last), serial, {**added, **facts.options})


questions = st.sampled_from([(None, None), *PLACES, *ALL_PLACES, *[(None, code) for _, code in ALL_PLACES]])


@given(placed_rule_lists, knowledge(), questions, st.booleans(), st.data())
@settings(max_examples=400, deadline=None)
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


def inside(exclusion, place):
    scope, position = exclusion.scope, exclusion.position
    if scope == "engine":
        return True
    banks = {place[1]} if place[0] == "bank" else {BANKS.get(place[1])}
    if scope == "bank":
        return place[0] != "engine" and (position is None or position in banks)
    return place[0] == "cylinder" and position in (None, place[1])


def two_valued_at(some_rules, engine, place):
    """At one place: some application there holds, and no exclusion around it does."""
    applied = any(
        holds(rule, engine) and rule.scope == place[0] and rule.position in (None, place[1])
        for rule in some_rules
        if rule.polarity == "applies"
    )
    barred = any(
        holds(rule, engine) and inside(rule, place) for rule in some_rules if rule.polarity == "excludes"
    )
    return applied and not barred


@given(placed_rule_lists, knowledge(), questions, st.sampled_from([BANKS, {}]))
@settings(deadline=None)
def test_the_bare_outcome_is_that_of_the_full_verdict(some_rules, facts, question, banks):
    scope, position = question
    full = judge(some_rules, facts, SCHEME, position, scope, bank_of=banks)
    assert outcome(some_rules, facts, SCHEME, position, scope, banks) == full.outcome
    assert full.reasons
    assert bool(full.missing) == (full.outcome == "cannot tell")


@given(placed_rule_lists, knowledge(), st.sampled_from(ALL_PLACES))
@settings(max_examples=300, deadline=None)
def test_at_each_place_the_verdict_is_that_of_trying_every_engine_there(some_rules, facts, place):
    answers = {
        "fits" if two_valued_at(some_rules, engine, place) else "does not fit"
        for engine in completions(facts)
    }
    verdict = judge(some_rules, facts, SCHEME, place[1], place[0], bank_of=BANKS)
    assert verdict.outcome == by_trying(answers)


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
@settings(max_examples=150, deadline=None)
def test_the_missing_facts_are_the_first_smallest_set_that_always_decides(some_rules, facts):
    verdict = judge(some_rules, facts, SCHEME)
    assert tuple(missing.fact for missing in verdict.missing) == smallest_by_trying(some_rules, facts)
