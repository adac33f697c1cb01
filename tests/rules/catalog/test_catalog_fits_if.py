"""The phrase for a customer: in words worked by hand, and true of an engine exactly when the part fits it.

The wording is ours; that a counter tells what it depends on is common practice, no source. The engines it is
held against are those of the small world, tried one by one.
"""

from bisect import bisect_right
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given

from catalog.rules import condition
from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge
from catalog.rules.interval import stretch_text
from catalog.rules.kleene import Truth
from catalog.rules.open_question import Open
from catalog.rules.serial import SerialScheme
from catalog.rules.ways import ways
from catalog.rules.weighing import weigh
from tests.rules.catalog.small_world import (
    NAMES,
    SCHEME,
    completions,
    knowledge,
    rule_lists,
    two_valued,
)

TX = SerialScheme("TX", ("TA", "TB"), 3)
EVERY = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ())
NINE = replace(EVERY, key="R2", options=(("connector", "9-Way"),))
LATE = replace(EVERY, key="R3", built_from=date(2014, 6, 1))
RANGE = replace(EVERY, key="R4", serial_from="TA500", serial_until="TB100")


def barred(rule):
    return replace(rule, key=f"X-{rule.key}", polarity="excludes")


def phrase(*rules, built="", serial=None, scheme=TX, **options):
    facts = UnitFacts("V8-6", DateInterval.from_text(built), serial, options)
    return judge(rules, facts, scheme, option_names={"connector": "the heater connector"}).fits_if


@pytest.mark.parametrize(
    ("rules", "expected"),
    [
        ([NINE], "fits if the heater connector is 9-Way; tell us the heater connector"),
        ([LATE], "fits if the engine was built in June 2014 or later; tell us the build date"),
        ([RANGE], "fits if the serial number is from TA500 to TB100; tell us the engine serial number"),
        (
            [replace(LATE, options=NINE.options)],
            "fits if the engine was built in June 2014 or later and the heater connector is 9-Way; "
            "tell us the build date and the heater connector",
        ),
        (
            [NINE, LATE],
            "fits if either the heater connector is 9-Way, or the engine was built in June 2014 or later; "
            "tell us the build date and the heater connector",
        ),
        # Said once, however many rules say it, and not at all where another rule asks for less.
        ([NINE, replace(NINE, key="again"), replace(NINE, key="more", serial_from="TA500")],
         "fits if the heater connector is 9-Way; tell us the heater connector"),
        ([NINE, replace(NINE, key="five", options=(("connector", "5-way"),))],
         "fits if the heater connector is 9-Way or 5-way; tell us the heater connector"),
        ([EVERY, barred(NINE)], "fits unless the heater connector is 9-Way; tell us the heater connector"),
        ([EVERY, barred(LATE)],
         "fits if the engine was built in May 2014 or earlier; tell us the build date"),
        (
            [EVERY, barred(RANGE)],
            "fits unless the serial number is from TA500 to TB100; tell us the engine serial number",
        ),
        (
            [LATE, barred(NINE)],
            "fits if the engine was built in June 2014 or later, unless the heater connector is 9-Way; "
            "tell us the build date and the heater connector",
        ),
        (
            [EVERY, barred(replace(LATE, options=NINE.options))],
            "fits unless the engine was built in June 2014 or later and the heater connector is 9-Way; "
            "tell us the build date and the heater connector",
        ),
        (
            [replace(NINE, key=str(n), built_from=date(2010 + n, 1, 1), built_until=date(2010 + n, 12, 31),
                     serial_from=f"TA{n}00") for n in range(5)],
            "fits if either the serial number is TA000 or later",
        ),
    ],
)  # fmt: skip
def test_what_it_depends_on_is_said_in_plain_words(rules, expected):
    said = phrase(*rules)
    if len(rules) == 5:
        assert said.count("the engine was built in 201") == 3
        assert ", or in 2 more ways; tell us" in said
    else:
        assert said == expected


def test_a_settled_verdict_has_no_phrase():
    assert phrase(EVERY) == ""
    assert phrase(NINE, connector="5-way") == ""


def test_what_is_half_known_already_is_not_said_again():
    rule = replace(LATE, built_until=date(2016, 8, 31))
    assert phrase(rule, built="2014") == (
        "fits if the engine was built in June 2014 or later; tell us the exact build date"
    )


def test_what_the_catalogue_lacks_is_not_asked_of_the_customer():
    assert phrase(RANGE, scheme=None) == "fits if it is an engine with serial numbers from TA500 to TB100"
    said = phrase(replace(NINE, serial_from="500"))
    assert said == (
        "fits if application R2, once put right, takes it in and the heater connector is 9-Way; "
        "tell us the heater connector"
    )


def test_the_bank_of_a_cylinder_is_said_where_it_decides():
    rules = [EVERY, replace(EVERY, key="X", polarity="excludes", scope="bank", position="A")]
    facts = UnitFacts("V8-6", DateInterval(), None, {})
    assert judge(rules, facts, TX, "3", "cylinder").fits_if == "fits unless cylinder 3 is on bank A"


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [
        (date(2014, 6, 1), None, "in June 2014 or later"),
        (date(2014, 6, 2), None, "on 2 June 2014 or later"),
        (date(2014, 1, 1), None, "in 2014 or later"),
        (None, date(2014, 5, 31), "in May 2014 or earlier"),
        (None, date(2014, 5, 30), "on 30 May 2014 or earlier"),
        (None, date(2014, 12, 31), "in 2014 or earlier"),
        (date(2014, 1, 1), date(2014, 12, 31), "in 2014"),
        (date(2013, 1, 1), date(2014, 12, 31), "from 2013 to 2014"),
        (date(2014, 2, 1), date(2014, 2, 28), "in February 2014"),
        (date(2016, 2, 1), date(2016, 2, 28), "from 1 February 2016 to 28 February 2016"),
        (date(2014, 1, 1), date(2014, 3, 31), "from January 2014 to March 2014"),
        (date(2014, 6, 1), date(2014, 6, 1), "on 1 June 2014"),
        (None, None, "at any time"),
    ],
)
def test_days_are_told_in_months_and_years_where_they_begin_and_end_with_one(first, last, expected):
    assert stretch_text(first, last) == expected


def number(slot, trials, engine):
    """Which of the numbered values of the slot this engine has."""
    day, serial, *values = engine
    fact = trials.fact[slot]
    if slot in trials.starts:
        value = day.toordinal() if fact == condition.BUILT else SERIAL_PLACES[serial]
        return bisect_right(trials.starts[slot], value) - 1
    value = dict(zip(NAMES, values, strict=True))[fact.removeprefix(condition.OPTION)]
    named = trials.named[slot]
    return named.index(value) if value in named else len(named)


SERIAL_PLACES = {f"{prefix}{figure}": place for place, (prefix, figure) in
                 enumerate((prefix, figure) for prefix in "AB" for figure in range(10))}  # fmt: skip


def met(demands, trials, engine):
    return all(number(slot, trials, engine) in accepted for slot, accepted in demands)


@given(rule_lists, knowledge())
def test_the_ways_told_are_true_of_an_engine_exactly_when_the_part_fits_it(some_rules, facts):
    open_now = Open(weigh(some_rules, facts, SCHEME), facts, SCHEME, None)
    if not open_now.candidates or open_now.decision.truth is not Truth.UNKNOWN:
        return
    if judge(some_rules, facts, SCHEME).outcome != "cannot tell":
        return  # another application is known to stand
    trials = open_now.trials
    told = ways(trials, open_now.decision.slots)
    named = {slot for way in told for slot in (*way.demands, *(s for bar in way.bars for s, _ in bar))}
    assert {trials.fact[slot] for slot in named} == set(open_now.missing)
    for engine in completions(facts):
        fits = any(
            met(way.demands.items(), trials, engine) and not any(met(bar, trials, engine) for bar in way.bars)
            for way in told
        )
        assert fits == two_valued(some_rules, engine)
