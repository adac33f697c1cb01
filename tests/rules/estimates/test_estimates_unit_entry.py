"""What is known of a unit as it is typed; empty stays unknown, a slip of the pen is refused."""

from dataclasses import replace
from datetime import date

import pytest

from catalog.rules.interval import DateInterval
from catalog.rules.serial import SerialScheme
from estimates.rules.unit_entry import built_entry, options_entry, unit_entry
from shop.rules.entry import Faults
from tests.rules.estimates.small_engine import V4

FAMILY = replace(V4, scheme=SerialScheme("s", ("SA", "SB"), 5))


def unit(**changes):
    faults = Faults()
    raw = {"name": "Loader", "family": "v4"} | changes
    return unit_entry({k: v for k, v in raw.items() if v is not ...}, "unit", FAMILY, faults), faults


def test_a_unit_of_which_only_the_family_is_known_is_taken():
    taken, faults = unit()
    assert faults == []
    assert (taken.name, taken.family, taken.serial, taken.road_use, dict(taken.options)) == (
        "Loader", "v4", "", "unknown", {},
    )  # fmt: skip
    assert not taken.built.is_known


def test_everything_known_is_taken():
    taken, faults = unit(
        built="2014-06", serial="SA 00123", options={"plug": "2-way"}, road_use="yes", registration="TG-12",
        vin="11111111111111111",
    )  # fmt: skip
    assert faults == []
    assert taken.built == DateInterval(date(2014, 6, 1), date(2014, 6, 30))
    assert (taken.serial, dict(taken.options), taken.vin) == ("SA 00123", {"plug": "2-way"}, "1" * 17)


@pytest.mark.parametrize(
    ("raw", "earliest", "latest"),
    [
        ("2014", date(2014, 1, 1), date(2014, 12, 31)),
        (2014, date(2014, 1, 1), date(2014, 12, 31)),
        ("2016-02", date(2016, 2, 1), date(2016, 2, 29)),
        ("2014-06-03", date(2014, 6, 3), date(2014, 6, 3)),
        (date(2014, 6, 3), date(2014, 6, 3), date(2014, 6, 3)),
        ("", None, None),
        (None, None, None),
    ],
)
def test_a_build_date_is_known_to_the_year_the_month_or_the_day(raw, earliest, latest):
    faults = Faults()
    assert built_entry(raw, "built", faults) == DateInterval(earliest, latest)
    assert faults == []


@pytest.mark.parametrize("raw", ["June 2014", "2014-13", "2014-02-30", "14", "06/2014", True, ["2014"]])
def test_a_build_date_that_cannot_be_read_is_refused(raw):
    faults = Faults()
    assert not built_entry(raw, "unit, built", faults).is_known
    assert faults[0].where == "unit, built"


@pytest.mark.parametrize(
    ("changes", "where", "what"),
    [
        ({"name": ""}, "unit, name", "is empty"),
        ({"name": ...}, "unit, name", "is missing"),
        ({"name": "x" * 121}, "unit, name", "has 121 characters"),
        ({"built": "June 2014"}, "unit, built", "'June 2014'"),
        ({"serial": "ZZ 00123"}, "unit, serial", "ZZ"),
        ({"serial": "SA 123456"}, "unit, serial", "123456"),
        ({"serial": 123}, "unit, serial", "123 is not text"),
        ({"road_use": "maybe"}, "unit, road_use", "'maybe' is none"),
        ({"road_use": ["yes"]}, "unit, road_use", "'['yes']' is none"),
        ({"road_use": True}, "unit, road_use", "'True' is none"),
        ({"options": "2-way"}, "unit, options", "is not an object"),
        ({"options": {"plugg": "2-way"}}, "unit, options, plugg", "no option 'plugg'"),
        ({"options": {"plug": "3-way"}}, "unit, options, plug", "no value '3-way'"),
        ({"options": {"plug": 2}}, "unit, options, plug", "no value '2'"),
        ({"options": {"plug": ["2-way"]}}, "unit, options, plug", "no value"),
        ({"registration": "x" * 41}, "unit, registration", "has 41 characters"),
        ({"vin": "1" * 18}, "unit, vin", "has 18 characters"),
        ({"famly": "v4"}, "unit, famly", "no such field 'famly'"),
    ],
)
def test_a_wrong_fact_is_refused_where_it_stands(changes, where, what):
    taken, faults = unit(**changes)
    assert taken is None
    assert [fault.where for fault in faults] == [where]
    assert what in faults[0].what
    assert faults[0].right


def test_an_option_left_empty_is_not_known():
    faults = Faults()
    assert options_entry({"plug": ""}, "options", FAMILY, faults) == {}
    assert faults == []


def test_near_options_and_values_are_named():
    faults = Faults()
    options_entry({"plugs": "2-way"}, "options", FAMILY, faults)
    options_entry({"plug": "2way"}, "options", FAMILY, faults)
    assert [fault.right for fault in faults] == ["use plug", "use 2-way or 4-way"]


def test_any_serial_number_is_taken_where_the_family_has_no_scheme():
    faults = Faults()
    taken = unit_entry({"name": "Loader", "family": "v4", "serial": "what/ever 7"}, "unit", V4, faults)
    assert (faults, taken.serial) == ([], "what/ever 7")


def test_several_wrong_facts_are_all_said():
    _, faults = unit(name="", road_use="maybe", options={"plugg": "x"})
    assert len(faults) == 3


def test_a_unit_that_is_no_object_is_refused():
    faults = Faults()
    assert unit_entry(["v4"], "unit", FAMILY, faults) is None
    assert faults[0].what == "is not an object"
