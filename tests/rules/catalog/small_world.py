"""A small world of invented rules and engines, in which every engine can be tried, with an evaluator.

Five days, twenty serial numbers over two prefixes, two options with two values that rules name and one that
none does, three cylinders on two banks. The evaluator compares plainly and shares no code with the rules.
"""

import itertools
from datetime import date, timedelta

from hypothesis import strategies as st

from catalog.rules.fitment import DateInterval, Rule, UnitFacts
from catalog.rules.serial import SerialScheme

SCHEME = SerialScheme("two", ("A", "B"), 1)
SERIALS = [f"{prefix}{figure}" for prefix in "AB" for figure in range(10)]
DAY_ONE = date(2014, 1, 1)
DAYS = [DAY_ONE + timedelta(days=n) for n in range(5)]
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
    return applied and not barred


def known_facts(engine):
    day, serial, *values = engine
    return UnitFacts("F", DateInterval(day, day), serial, dict(zip(NAMES, values, strict=True)))


@st.composite
def more_known(draw, facts):
    """The same engine after some looking: nothing taken back, anything possibly added."""
    inside = [day for day in DAYS if facts.built.earliest <= day <= facts.built.latest]
    first, last = sorted(draw(st.tuples(st.sampled_from(inside), st.sampled_from(inside))))
    serial = facts.serial or draw(st.none() | st.sampled_from(SERIALS))
    added = draw(st.dictionaries(st.sampled_from(NAMES), st.sampled_from(VALUES)))
    return UnitFacts("F", DateInterval(first, last), serial, {**added, **facts.options})


questions = st.sampled_from([(None, None), *PLACES, *ALL_PLACES, *[(None, code) for _, code in ALL_PLACES]])


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


def by_trying(engines, fitting):
    """What trying every engine comes to; stops as soon as two of them differ."""
    answers = set()
    for engine in engines:
        answers.add(fitting(engine))
        if len(answers) == 2:
            return "cannot tell"
    return "fits" if answers.pop() else "does not fit"
