"""The smallest set of facts to find out, worked by hand. Random cases are tried out exhaustively with the
fitment properties; here stand the ones with a story."""

from dataclasses import replace
from datetime import date

import pytest

from catalog.rules.decision import Decision, decide
from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge
from catalog.rules.kleene import Truth
from catalog.rules.missing import Case, Literal, smallest
from catalog.rules.open_case import tried
from catalog.rules.serial import SerialScheme

SCHEME = SerialScheme("TX", ("TA",), 3)
RULE = Rule("R", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ())
NINE_WAY = (("connector", "9-way"),)
NAMES = {"connector": "the heater connector"}


def engine(built="", serial=None, **options):
    return UnitFacts("V8-6", DateInterval.from_text(built), serial, options)


def missing(rules, facts, scheme=SCHEME):
    return [found.fact for found in judge(rules, facts, scheme).missing]


def test_every_open_condition_of_a_single_rule_is_needed():
    rule = replace(RULE, built_from=date(2014, 3, 1), serial_from="TA500", options=NINE_WAY)
    assert missing([rule], engine()) == ["serial", "built", "option:connector"]


def test_what_is_known_is_not_asked_for_again():
    rule = replace(RULE, built_from=date(2014, 3, 1), serial_from="TA500", options=NINE_WAY)
    assert missing([rule], engine("2015", connector="9-way")) == ["serial"]


def test_a_fact_that_changes_nothing_is_not_asked_for():
    # With the connector known, the second rule adds nothing: it asks for the same connector and more.
    rules = [replace(RULE, options=NINE_WAY), replace(RULE, serial_from="TA500", options=NINE_WAY)]
    assert missing(rules, engine()) == ["option:connector"]


def test_a_rule_that_has_failed_is_not_asked_about():
    rules = [replace(RULE, options=NINE_WAY, built_from=date(2014, 3, 1)), replace(RULE, serial_from="TA500")]
    assert missing(rules, engine("2013")) == ["serial"]


def test_an_open_exclusion_is_asked_about():
    barred = replace(RULE, polarity="excludes", scope="engine", built_from=date(2014, 3, 1))
    assert missing([RULE, barred], engine("2014")) == ["built"]


def test_an_exclusion_without_an_application_is_not_asked_about():
    rules = [replace(RULE, options=NINE_WAY), replace(RULE, polarity="excludes", built_from=date(2014, 3, 1))]
    assert missing(rules, engine(connector="8-way")) == []


def test_nothing_has_to_be_found_out_where_every_way_it_may_turn_out_is_covered():
    rules = [replace(RULE, serial_until="TA499"), replace(RULE, serial_from="TA500")]
    assert missing(rules, engine()) == []
    by_date = [replace(RULE, built_until=date(2013, 12, 31)), replace(RULE, built_from=date(2014, 1, 1))]
    assert missing(by_date, engine()) == []


def test_a_gap_of_one_serial_number_is_asked_about():
    rules = [replace(RULE, serial_until="TA499"), replace(RULE, serial_from="TA501")]
    assert missing(rules, engine()) == ["serial"]


def test_rules_tangled_beyond_patience_are_open_in_everything_they_ask_about():
    low = Case((Literal("serial", (0, 499)),), ())
    high = Case((Literal("serial", (500, 999)),), ())
    trials = tried([low, high], {"serial": (0, 999)})
    assert decide(trials, most_steps=1).truth is Truth.TRUE
    assert decide(trials, most_steps=0) == Decision(Truth.UNKNOWN, frozenset({"serial"}))


def test_a_date_half_known_may_make_another_fact_enough():
    # Built in 2014, the first rule cannot hold later in the year than its end: still open by date.
    rules = [replace(RULE, built_until=date(2014, 6, 30)), replace(RULE, options=NINE_WAY)]
    assert missing(rules, engine("2014")) == ["built", "option:connector"]
    assert missing(rules, engine("2015")) == ["option:connector"]
    assert missing(rules, engine("2013")) == []


def test_a_range_that_runs_backwards_has_to_be_put_right():
    backwards = replace(RULE, serial_from="TA500", serial_until="TA400", options=NINE_WAY)
    assert missing([backwards], engine()) == ["limits:R", "option:connector"]


def test_without_a_scheme_two_ranges_are_open_each_for_itself():
    rules = [replace(RULE, serial_until="TA499"), replace(RULE, serial_from="TA500", options=NINE_WAY)]
    assert missing(rules, engine(), None) == ["option:connector", "serial scheme"]


@pytest.mark.parametrize(
    ("fact", "facts", "text"),
    [
        ({"serial_from": "TA500"}, engine(), "the engine serial number"),
        ({"built_from": date(2014, 3, 1)}, engine(), "the build date"),
        ({"built_from": date(2014, 3, 1)}, engine("2014"), "the exact build date"),
        ({"options": NINE_WAY}, engine(), "the heater connector"),
    ],
)
def test_a_missing_fact_has_a_name_for_people(fact, facts, text):
    verdict = judge([replace(RULE, **fact)], facts, SCHEME, option_names=NAMES)
    assert [found.text for found in verdict.missing] == [text]


def test_sixteen_rules_over_eighteen_unknown_facts_are_no_trouble():
    # Without remembering what was tried this would be millions of trials; the answer needs them all.
    cases = []
    for n in range(8):
        own = (Literal(f"option:a{n}", "1"), Literal(f"option:b{n}", "1"))
        line = (Literal("built", (n * 100, 999)), Literal("serial", (n * 100, 999)))
        against = (Literal(f"option:a{(n + 1) % 8}", "2"), Literal(f"option:b{n}", "1"))
        cases.append(Case((*own, *line), ((*against, *line),)))
    assert len(smallest(cases, {"built": (0, 999), "serial": (0, 999)})) == 18
