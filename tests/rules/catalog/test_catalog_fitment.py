"""Fitment, worked by hand. The three outcomes follow Kleene's strong tables (Introduction to Metamathematics,
1952, section 64) applied to "some rule that applies holds, and no rule that excludes does"; engine family,
parts and numbers are invented.
"""

from dataclasses import replace
from datetime import date

import pytest

from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge, sentence
from catalog.rules.kleene import Truth
from catalog.rules.serial import SerialScheme
from shop.rules.errors import Refused

SCHEME = SerialScheme("TX", ("TA", "TB"), 3)
LISTED = Rule(
    "R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ()
)  # every cylinder of every engine of the family
EXCLUDED = replace(LISTED, key="X1", polarity="excludes", scope="engine")
UNKNOWN_ENGINE = UnitFacts("V8-6", DateInterval(), None, {})
NAMES = {"connector": "the heater connector"}


def engine(built="", serial=None, **options):
    return UnitFacts("V8-6", DateInterval.from_text(built), serial, options)


def outcome(rules, facts, **question):
    return judge(rules, facts, SCHEME, option_names=NAMES, **question).outcome


# --- one rule -----------------------------------------------------------------------------------------


def test_a_part_listed_for_every_engine_fits_an_engine_of_which_nothing_is_known():
    verdict = judge([LISTED], UNKNOWN_ENGINE, SCHEME)
    assert (verdict.outcome, verdict.quantity, verdict.missing) == ("fits", 1, ())
    assert sentence(verdict) == "It fits: it is listed for every engine of family V8-6."


@pytest.mark.parametrize(
    ("built", "expected"),
    [
        ("2014-02-28", "does not fit"),
        ("2014-03-01", "fits"),
        ("2014-03-02", "fits"),
        ("2014-02", "does not fit"),
        ("2014-03", "fits"),
        ("2013", "does not fit"),
        ("2014", "cannot tell"),
        ("2015", "fits"),
        ("", "cannot tell"),
    ],
)
def test_the_build_date_against_a_first_day(built, expected):
    assert outcome([replace(LISTED, built_from=date(2014, 3, 1))], engine(built)) == expected


@pytest.mark.parametrize(
    ("built", "expected"),
    [
        ("2014-03-14", "fits"),
        ("2014-03-15", "fits"),
        ("2014-03-16", "does not fit"),
        ("2014-03", "cannot tell"),
        ("2013", "fits"),
        ("2015", "does not fit"),
    ],
)
def test_the_build_date_against_a_last_day(built, expected):
    assert outcome([replace(LISTED, built_until=date(2014, 3, 15))], engine(built)) == expected


@pytest.mark.parametrize(
    ("serial", "expected"),
    [
        ("TA499", "does not fit"),
        ("TA500", "fits"),
        ("ta-501", "fits"),
        ("TB019", "fits"),
        ("TB020", "fits"),
        ("TB021", "does not fit"),
        (None, "cannot tell"),
        ("", "cannot tell"),
    ],
)
def test_the_serial_number_against_a_range_that_crosses_a_prefix(serial, expected):
    rule = replace(LISTED, serial_from="TA500", serial_until="TB020")
    assert outcome([rule], engine(serial=serial)) == expected


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("9-way", "fits"),
        (" 9-WAY ", "fits"),
        ("8-way", "does not fit"),
        ("", "cannot tell"),
        (" ", "cannot tell"),
    ],
)
def test_an_option_against_the_value_asked_for(value, expected):
    assert outcome([replace(LISTED, options=(("connector", "9-way"),))], engine(connector=value)) == expected


def test_one_condition_that_fails_decides_whatever_the_others_would_say():
    rule = replace(LISTED, built_from=date(2014, 3, 1), options=(("connector", "9-way"),))
    assert outcome([rule], engine("", connector="8-way")) == "does not fit"
    assert outcome([rule], engine("", connector="9-way")) == "cannot tell"
    assert outcome([rule], engine("2015")) == "cannot tell"
    assert outcome([rule], engine("2015", connector="9-way")) == "fits"


# --- several rules ------------------------------------------------------------------------------------

EARLY = replace(LISTED, key="EARLY", built_until=date(2013, 12, 31))
NINE_WAY = replace(LISTED, key="NINE", options=(("connector", "9-way"),))


def test_one_rule_that_holds_is_enough_whatever_is_open_in_another():
    assert outcome([EARLY, NINE_WAY], engine("2013")) == "fits"
    assert outcome([EARLY, NINE_WAY], engine("2015", connector="9-way")) == "fits"


def test_every_rule_must_fail_before_it_does_not_fit():
    assert outcome([EARLY, NINE_WAY], engine("2015")) == "cannot tell"
    assert outcome([EARLY, NINE_WAY], engine("2015", connector="8-way")) == "does not fit"


# The nine ways an application (t, u, f) and an exclusion (t, u, f) can meet.
@pytest.mark.parametrize(
    ("applies", "excludes", "expected"),
    [
        ("9-way", "8-way", "fits"),
        ("9-way", "9-way", "does not fit"),
        ("9-way", None, "cannot tell"),
        ("8-way", "8-way", "does not fit"),
        ("8-way", "9-way", "does not fit"),
        ("8-way", None, "does not fit"),
        (None, "8-way", "cannot tell"),
        (None, "9-way", "does not fit"),
        (None, None, "cannot tell"),
    ],
)
def test_an_application_and_an_exclusion_together(applies, excludes, expected):
    barred = replace(EXCLUDED, options=(("feed", "9-way"),))
    facts = {name: value for name, value in (("connector", applies), ("feed", excludes)) if value}
    assert outcome([NINE_WAY, barred], engine("", **facts)) == expected


def test_exclusions_alone_list_the_part_for_nothing():
    verdict = judge([replace(EXCLUDED, built_from=date(2014, 3, 1))], engine("2013"), SCHEME)
    assert verdict.outcome == "does not fit"
    assert verdict.reasons[0].text == "no application lists GX-1042 for engine family V8-6"


def test_no_rule_at_all_does_not_fit_and_says_so():
    verdict = judge([], UNKNOWN_ENGINE, SCHEME)
    assert sentence(verdict) == "It does not fit: no application lists this part for engine family V8-6."


def test_a_rule_for_another_family_says_nothing():
    verdict = judge([replace(LISTED, family="L4-2")], UNKNOWN_ENGINE, SCHEME)
    assert sentence(verdict) == "It does not fit: no application lists GX-1042 for engine family V8-6."


# --- the reasons --------------------------------------------------------------------------------------


def told(rules, facts, **question):
    return [
        (r.rule, r.fact, r.truth, r.text)
        for r in judge(rules, facts, SCHEME, option_names=NAMES, **question).reasons
    ]


def test_a_part_that_fits_tells_every_condition_that_was_met():
    rule = replace(NINE_WAY, built_from=date(2014, 3, 1), built_until=date(2015, 12, 31), serial_from="TA500")
    assert told([rule], engine("2014-03", "ta 700", connector="9-Way")) == [
        (
            "NINE",
            "built",
            Truth.TRUE,
            "it is listed for engines built from 1 March 2014 to 31 December 2015, "
            "and this one was built in March 2014",
        ),
        (
            "NINE",
            "serial",
            Truth.TRUE,
            "it is listed for engines with serial numbers from TA500 on, and this one is TA700",
        ),
        (
            "NINE",
            "option:connector",
            Truth.TRUE,
            "it is listed for engines where the heater connector is 9-way, and here it is 9-Way",
        ),
    ]


def test_a_part_that_fits_tells_what_keeps_an_exclusion_off():
    barred = replace(EXCLUDED, serial_until="TA099")
    assert told([LISTED, barred], engine(serial="TA100"))[1:] == [
        (
            "X1",
            "serial",
            Truth.FALSE,
            "it is excluded for engines with serial numbers up to TA099, but this one is TA100",
        )
    ]


def test_a_part_that_does_not_fit_tells_the_condition_that_failed_in_each_rule():
    assert told([EARLY, NINE_WAY], engine("2015", connector="8-way")) == [
        (
            "EARLY",
            "built",
            Truth.FALSE,
            "it is listed for engines built up to 31 December 2013, but this one was built in 2015",
        ),
        (
            "NINE",
            "option:connector",
            Truth.FALSE,
            "it is listed for engines where the heater connector is 9-way, but here it is 8-way",
        ),
    ]


def test_an_exclusion_that_holds_is_the_reason():
    barred = replace(EXCLUDED, built_from=date(2014, 3, 1))
    assert told([LISTED, barred], engine("2015")) == [
        (
            "X1",
            "built",
            Truth.TRUE,
            "it is excluded for engines built from 1 March 2014 on, and this one was built in 2015",
        )
    ]
    assert told([LISTED, EXCLUDED], engine())[0][3] == "it is excluded for every engine of family V8-6"


def test_an_open_answer_tells_what_is_open():
    rule = replace(NINE_WAY, built_from=date(2014, 3, 1), serial_from="TA500")
    assert [text for *_, text in told([rule], engine("2014"))] == [
        "it is listed for engines built from 1 March 2014 on, "
        "and this one was built in 2014, which leaves it open",
        "it is listed for engines with serial numbers from TA500 on, and the serial number is not known",
        "it is listed for engines where the heater connector is 9-way, and the heater connector is not known",
    ]


def test_an_option_without_a_name_for_people_goes_by_its_code():
    verdict = judge([NINE_WAY], engine(), SCHEME)
    assert sentence(verdict) == "Whether it fits cannot be told yet: that needs option connector."


def test_more_than_three_reasons_are_counted_in_the_sentence_and_all_kept_in_the_verdict():
    rules = [replace(LISTED, key=f"R{n}", built_until=date(2000 + n, 1, 1)) for n in range(5)]
    verdict = judge(rules, engine("2015"), SCHEME)
    assert len(verdict.reasons) == 5
    assert sentence(verdict).endswith("; and 2 more reasons like these.")


# --- what cannot be read ------------------------------------------------------------------------------

LATE_SERIAL = replace(LISTED, serial_from="TA500")


def test_a_serial_number_that_cannot_be_read_is_not_known_rather_than_wrong():
    verdict = judge([LATE_SERIAL], engine(serial="TA70"), SCHEME)
    assert verdict.outcome == "cannot tell"
    assert verdict.reasons[0].text.endswith(
        "the number recorded, 'TA70', does not follow the serial scheme TX"
    )
    assert sentence(verdict).endswith(
        "needs the engine serial number (what is recorded, 'TA70', does not follow the scheme)."
    )


def test_without_a_serial_scheme_serial_numbers_are_not_compared():
    verdict = judge([LATE_SERIAL], engine(serial="TA700"), None)
    assert verdict.outcome == "cannot tell"
    assert sentence(verdict).endswith(
        "needs a serial scheme for engine family V8-6, and the engine serial number."
    )


def test_limits_that_cannot_be_read_are_reported_as_a_fault_of_the_rule():
    verdict = judge([replace(LISTED, serial_from="500")], engine(serial="TA700"), SCHEME)
    assert verdict.outcome == "cannot tell"
    assert [(m.fact, m.text) for m in verdict.missing] == [
        (
            "limits:R1",
            "readable serial limits in application R1 ('500' does not follow the serial scheme TX "
            "(TA or TB and then 3 figures, leading zeros included))",
        )
    ]


def test_limits_that_run_backwards_under_the_scheme_are_a_fault_of_the_rule_and_never_a_no():
    verdict = judge(
        [replace(LISTED, serial_from="TB500", serial_until="TA400")], engine(serial="TA700"), SCHEME
    )
    assert verdict.outcome == "cannot tell"
    assert sentence(verdict).endswith(
        "needs readable serial limits in application R1 (they run backwards under the serial scheme TX)."
    )


def stored(**changed):
    fields = {name: getattr(LISTED, name) for name in Rule.__match_args__ if name != "broken"}
    return Rule.stored(**{**fields, "key": "BAD", **changed})


BROKEN = [
    stored(built_from=date(2014, 3, 2), built_until=date(2014, 3, 1)),
    stored(options=(("connector", "8-way"), ("connector", "9-way"))),
    stored(quantity=0),
    stored(scope="valve"),
    stored(polarity="maybe"),
]


@pytest.mark.parametrize("broken", BROKEN)
def test_a_broken_rule_leaves_its_part_open_and_says_what_to_correct(broken):
    for question in ({}, {"position": "3"}, {"scope": "cylinder", "position": "3"}):
        verdict = judge([broken], engine("2015"), SCHEME, **question)
        assert verdict.outcome == "cannot tell"
        assert [(fact.fact, broken.broken in fact.text) for fact in verdict.missing] == [("rule:BAD", True)]
        assert broken.broken in verdict.reasons[0].text
        assert verdict.fits_if == "fits if application BAD, once put right, takes it in"


@pytest.mark.parametrize("broken", BROKEN)
def test_a_broken_rule_takes_nothing_from_what_other_rules_decide_unless_it_may_exclude(broken):
    expected = "cannot tell" if broken.polarity == "maybe" else "fits"
    assert outcome([LISTED, broken], engine()) == expected
    assert outcome([broken, EXCLUDED, LISTED], engine()) == "does not fit"


def test_a_broken_exclusion_leaves_open_what_it_may_take_away():
    verdict = judge([LISTED, stored(polarity="excludes", quantity=0, scope="valve")], engine(), SCHEME)
    assert verdict.outcome == "cannot tell"
    assert verdict.fits_if == "fits unless application BAD, once put right, excludes it"


def test_a_sound_rule_is_stored_as_it_is():
    assert replace(stored(), key="R1") == LISTED


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"polarity": "maybe"}, "'maybe' is no polarity; say applies or excludes"),
        ({"scope": "valve"}, "'valve' is no scope; say engine, bank or cylinder"),
        ({"quantity": 0}, "application R1, quantity: 0 is too few"),
        ({"built_from": date(2014, 3, 2), "built_until": date(2014, 3, 1)}, "give the earlier day first"),
        ({"options": (("connector", "8-way"), ("connector", "9-way"))}, "write one rule for each value"),
    ],
)
def test_a_rule_that_contradicts_itself_is_refused(change, message):
    with pytest.raises(Refused, match=message):
        replace(LISTED, **change)


def test_a_rule_for_one_single_day_is_no_contradiction():
    rule = replace(LISTED, built_from=date(2014, 3, 1), built_until=date(2014, 3, 1))
    assert outcome([rule], engine("2014-03-01")) == "fits"


def test_every_fault_of_a_rule_is_told_at_once():
    with pytest.raises(Refused) as refusal:
        replace(LISTED, built_from=date(2014, 3, 2), built_until=date(2014, 3, 1), quantity=0)
    assert len(refusal.value.faults) == 2
