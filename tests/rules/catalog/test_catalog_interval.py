"""Build dates known to a day, a month or a year. Calendar facts: ISO 8601 and the Gregorian calendar."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.interval import DateInterval
from catalog.rules.kleene import Truth
from shop.rules.errors import Refused

YEAR = DateInterval(date(2014, 1, 1), date(2014, 12, 31))
EVE, FIRST, SECOND = date(2013, 12, 31), date(2014, 1, 1), date(2014, 1, 2)
BEFORE_LAST, LAST, AFTER = date(2014, 12, 30), date(2014, 12, 31), date(2015, 1, 1)


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2014", date(2014, 1, 1), date(2014, 12, 31)),
        ("2014-06", date(2014, 6, 1), date(2014, 6, 30)),
        ("2014-02", date(2014, 2, 1), date(2014, 2, 28)),
        ("2016-02", date(2016, 2, 1), date(2016, 2, 29)),
        ("2014-12", date(2014, 12, 1), date(2014, 12, 31)),
        (" 2014-06-03 ", date(2014, 6, 3), date(2014, 6, 3)),
        ("", None, None),
        ("  ", None, None),
    ],
)
def test_a_text_means_every_day_it_may_stand_for(text, first, last):
    assert DateInterval.from_text(text) == DateInterval(first, last)


@pytest.mark.parametrize(
    "text", ["14", "2014-6", "06/2014", "2014-13", "2014-02-30", "2014-06-03T00:00", "0000", "June", "2014-"]
)
def test_any_other_text_is_refused_and_the_three_forms_are_named(text):
    with pytest.raises(Refused, match="2014, 2014-06 or 2014-06-03"):
        DateInterval.from_text(text)


@pytest.mark.parametrize(
    ("interval", "text"),
    [
        (DateInterval.from_text("2014"), "in 2014"),
        (DateInterval.from_text("2014-06"), "in June 2014"),
        (DateInterval.from_text("2014-12"), "in December 2014"),
        (DateInterval.from_text("2016-02"), "in February 2016"),
        (DateInterval.from_text("2014-06-03"), "on 3 June 2014"),
        (DateInterval(), "not known"),
        (DateInterval(date(2014, 6, 3), None), "on or after 3 June 2014"),
        (DateInterval(None, date(2014, 6, 3)), "on or before 3 June 2014"),
        (DateInterval(date(2014, 6, 1), date(2014, 7, 31)), "between 1 June 2014 and 31 July 2014"),
        (DateInterval(date(2014, 1, 1), date(2015, 12, 31)), "between 1 January 2014 and 31 December 2015"),
        (DateInterval(date(2014, 6, 1), date(2014, 6, 29)), "between 1 June 2014 and 29 June 2014"),
    ],
)
def test_an_interval_is_told_in_words(interval, text):
    assert str(interval) == text


def test_an_interval_that_ends_before_it_begins_is_refused():
    with pytest.raises(Refused, match="ends on 2013-12-31 before it begins on 2014-01-01"):
        DateInterval(FIRST, EVE)


@pytest.mark.parametrize(
    ("start", "expected"),
    [
        (EVE, Truth.TRUE),
        (FIRST, Truth.TRUE),
        (SECOND, Truth.UNKNOWN),
        (BEFORE_LAST, Truth.UNKNOWN),
        (LAST, Truth.UNKNOWN),
        (AFTER, Truth.FALSE),
    ],
)
def test_a_start_before_at_and_after_each_end_of_the_year(start, expected):
    assert YEAR.within(start, None) is expected


@pytest.mark.parametrize(
    ("until", "expected"),
    [
        (EVE, Truth.FALSE),
        (FIRST, Truth.UNKNOWN),
        (SECOND, Truth.UNKNOWN),
        (BEFORE_LAST, Truth.UNKNOWN),
        (LAST, Truth.TRUE),
        (AFTER, Truth.TRUE),
    ],
)
def test_an_end_before_at_and_after_each_end_of_the_year(until, expected):
    assert YEAR.within(None, until) is expected


def test_a_date_nobody_knows_is_unknown_against_any_limit_and_within_no_limits():
    assert DateInterval().within(FIRST, None) is Truth.UNKNOWN
    assert DateInterval().within(None, LAST) is Truth.UNKNOWN
    assert DateInterval().within(None, None) is Truth.TRUE


def test_a_date_known_on_one_side_only_can_still_settle_it():
    since = DateInterval(FIRST, None)
    assert since.within(EVE, None) is Truth.TRUE
    assert since.within(None, EVE) is Truth.FALSE
    assert since.within(SECOND, None) is Truth.UNKNOWN
    assert since.within(EVE, AFTER) is Truth.UNKNOWN


def test_exact_means_one_day_and_known_means_at_least_one_side():
    assert DateInterval(FIRST, FIRST).is_exact
    assert not YEAR.is_exact
    assert YEAR.is_known
    assert not DateInterval().is_known


days = st.integers(min_value=0, max_value=12).map(lambda n: date(2014, 1, 1) + timedelta(days=n))
optional_days = st.none() | days


@given(st.tuples(days, days).map(sorted), optional_days, optional_days)
def test_the_answer_is_what_asking_about_every_single_day_gives(ends, start, until):
    first, last = ends
    each = {
        (start is None or start <= day) and (until is None or day <= until)
        for day in (first + timedelta(days=n) for n in range((last - first).days + 1))
    }
    expected = {frozenset({True}): Truth.TRUE, frozenset({False}): Truth.FALSE}.get(
        frozenset(each), Truth.UNKNOWN
    )
    if start is None or until is None or start <= until:
        assert DateInterval(first, last).within(start, until) is expected
