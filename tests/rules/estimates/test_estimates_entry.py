"""Readings and findings as they are typed: what is taken, and what is said about the rest.

A refusal is only worth something if it says where, what, and what would be right; each case names all three.
"""

from decimal import Decimal

import pytest

from estimates.rules.entry import finding_entry, meter_entry, position_entry, reading_entry, shown_reading
from estimates.rules.reading import Measured
from shop.rules.entry import Faults, decimal_entry, text_entry, whole_entry
from tests.rules.estimates.small_engine import ENGINE, ONE, V4, A, book, lamp, resistance

VOLTS = resistance("rest", scope="engine", unit="V", minimum=Decimal("12.4"), maximum=None, access=())
BOOK = book(test_points=(resistance(), lamp(), VOLTS))


def reading(meter=None, **changes):
    faults = Faults()
    raw = {"test_point": "resistance", "position": "1", "value": "0.60", "unit": "Ohm", **changes}
    raw = {key: value for key, value in raw.items() if value is not ...}
    return reading_entry(raw, "readings[0]", BOOK, faults, meter), [str(fault) for fault in faults]


def refused(meter=None, **changes) -> str:
    taken, faults = reading(meter, **changes)
    assert taken is None
    assert len(faults) == 1, faults
    return faults[0]


# What is taken


def test_a_plain_reading_is_taken_with_the_accuracy_of_the_meter():
    meter = {"accuracy_percent": "0.8", "accuracy_counts": 2, "resolution": "0.01", "zero": "0.1"}
    taken, faults = reading(meter)
    assert faults == []
    assert taken.measured == Measured(
        "number", Decimal("0.60"), Decimal("0.1"), Decimal("0.8"), 2, Decimal("0.01")
    )
    assert (taken.place, taken.shown, taken.phase, taken.key) == (ONE, "0.60 Ω", "before", "resistance@1")


def test_a_reading_may_state_a_meter_of_its_own():
    taken, _ = reading({"accuracy_percent": "0.8", "zero": "0.1"}, zero="0", accuracy_percent="2")
    assert (taken.measured.zero, taken.measured.accuracy_percent) == (0, 2)


@pytest.mark.parametrize("value", ["0.60", " 0.60 ", Decimal("0.60")])
def test_a_number_may_be_written_as_text_or_as_a_number(value):
    assert reading(value=value)[0].measured.value == Decimal("0.60")


def test_a_whole_number_is_taken_as_it_is():
    assert reading(value=1)[0].measured.value == Decimal(1)


@pytest.mark.parametrize("value", ["open", "OPEN", " Open "])
def test_an_open_circuit_is_a_value(value):
    taken, _ = reading(value=value, unit=...)
    assert (taken.measured.kind, taken.shown) == ("open", "open circuit")


def test_a_lamp_is_on_or_off_and_needs_no_position_on_the_engine():
    taken, faults = reading(test_point="lamp", position=..., value="on", unit=...)
    assert (faults, taken.place, taken.shown) == ([], ENGINE, "lamp on")


def test_a_reading_taken_after_the_repair_says_so():
    assert reading(phase="after")[0].phase == "after"


@pytest.mark.parametrize("celsius", ["-60", "-0.5", "18.5", "400"])
def test_a_temperature_is_kept_to_the_tenth(celsius):
    assert reading(temperature=celsius)[0].measured.temperature == Decimal(celsius)


def test_a_position_may_be_written_as_a_number():
    assert reading(position=1)[0].place == ONE


def test_readings_in_words():
    assert shown_reading(Measured("number", Decimal("12.40")), "V") == "12.40 V"
    assert shown_reading(Measured("off"), "") == "lamp off"


# What is refused: where, what; what would be right

REFUSED = [
    (
        {"test_point": "resistence"},
        "readings[0], test_point: no test point 'resistence'; use resistance or rest",
    ),
    ({"test_point": ["lamp"]}, "readings[0], test_point: no test point '['lamp']'; use lamp"),
    ({"test_point": ...}, "readings[0], test_point: is missing; give it"),
    ({"value": ...}, "readings[0], value: is missing; give it"),
    ({"positon": "1"}, "readings[0], positon: no such field 'positon'; use position"),
    ({"position": "9"}, "readings[0], position: there is no cylinder 9 of 4; use one of 1, 2, 3, 4"),
    ({"position": "A"}, "readings[0], position: bank A is not a cylinder; use one of 1, 2, 3, 4"),
    ({"position": "engine"}, "readings[0], position: the engine is not a cylinder; use one of 1, 2, 3, 4"),
    ({"position": "X"}, "readings[0], position: no cylinder 'X' on Small V4; use one of 1, 2, 3, 4"),
    ({"position": True}, "readings[0], position: no cylinder 'True' on Small V4; use one of 1, 2, 3, 4"),
    ({"position": ...}, "readings[0], position: no cylinder is named; use one of 1, 2, 3, 4"),
    ({"unit": "V"}, "readings[0], unit: 'V' where resistance is measured in Ohm; give the value in Ohm"),
    ({"phase": "later"}, "readings[0], phase: 'later' is none; say before or after (the repair)"),
    (
        {"value": "3 Ohm"},
        "readings[0], value: '3 Ohm' is not a number; "
        "write the number alone, like 0.9; the unit has a field of its own",
    ),
    ({"value": "0,9"}, "readings[0], value: '0,9' is not a number; write a point, not a comma: 0.9"),
    ({"value": ""}, "readings[0], value: is empty; write a plain number, like 0.9"),
    ({"value": "1_2"}, "readings[0], value: '1_2' is not a number; write plain digits, like 0.9"),
    ({"value": None}, "readings[0], value: None is not a number; write a plain number, like 0.9"),
    ({"value": True}, "readings[0], value: True is not a number; write a plain number, like 0.9"),
    ({"value": "NaN"}, "readings[0], value: NaN is not a finite number; write a plain number, like 0.9"),
    (
        {"value": "-Infinity"},
        "readings[0], value: -Infinity is not a finite number; write a plain number, like 0.9",
    ),
    ({"value": "1e12"}, "readings[0], value: 1e12 is out of range; use at most 12 digits and 6 decimals"),
    (
        {"value": "0.0000001"},
        "readings[0], value: 0.0000001 is out of range; use at most 12 digits and 6 decimals",
    ),
    ({"value": "on"}, "readings[0], value: 'on' where a measured value is expected; give it in Ohm"),
    (
        {"temperature": "401"},
        "readings[0], temperature: 401 °C is not credible; give it in °C, -60 to 400",
    ),
    (
        {"temperature": "18.25"},
        "readings[0], temperature: 18.25 is finer than it is kept; give it to a tenth of a degree",
    ),
    ({"accuracy_percent": "-1"}, "readings[0], accuracy_percent: -1 is negative; give zero or more"),
    (
        {"accuracy_percent": "101"},
        "readings[0], accuracy_percent: 101 is above 100; give percent of the reading",
    ),
    (
        {"accuracy_percent": "0.00001"},
        "readings[0], accuracy_percent: 0.00001 is finer than it is kept; use at most 4 decimals",
    ),
    ({"resolution": "-0.1"}, "readings[0], resolution: -0.1 is negative; give zero or more"),
    (
        {"accuracy_counts": 2},
        "readings[0], accuracy_counts: counts need the meter's resolution; give what one count is worth",
    ),
    (
        {"accuracy_counts": "2.5", "resolution": "0.1"},
        "readings[0], accuracy_counts: 2.5 is not a whole number from 0 to 1000; give one that is",
    ),
]


@pytest.mark.parametrize(("changes", "message"), REFUSED)
def test_a_wrong_reading_is_refused_with_where_what_and_what_would_be_right(changes, message):
    assert refused(**changes) == message


def test_a_number_where_a_lamp_is_used_is_refused():
    message = refused(test_point="lamp", position="engine", unit=..., value="12.6")
    assert message == "readings[0], value: '12.6' where a test lamp is used; say on or off"


def test_a_unit_where_a_lamp_is_used_is_refused():
    message = refused(test_point="lamp", position="engine", unit="V", value="on")
    assert message.startswith("readings[0], unit: 'V' where lamp is measured in no unit: a lamp is on or off")


def test_an_open_circuit_where_a_voltage_is_measured_is_refused():
    message = refused(test_point="rest", position="engine", unit="V", value="open")
    assert message.startswith("readings[0], value: an open circuit says nothing about a value in V")


def test_a_cylinder_where_the_engine_is_meant_is_refused():
    message = refused(test_point="lamp", position="1", unit=..., value="on")
    assert message == "readings[0], position: cylinder 1 is not the engine; use one of engine"


def test_a_reading_that_is_no_object_is_refused():
    faults = Faults()
    assert reading_entry("0.9", "readings[0]", BOOK, faults) is None
    assert str(faults[0]) == 'readings[0]: is not an object; write it in braces, {"...": ...}'


def test_all_that_is_wrong_with_a_reading_is_said_at_once():
    taken, faults = reading(position="9", unit="V", value="3 Ohm")
    assert taken is None
    assert [fault.split(":")[0] for fault in faults] == [
        "readings[0], position", "readings[0], unit", "readings[0], value",
    ]  # fmt: skip


# Meters


def test_what_the_meter_does_not_state_is_left_out():
    faults = Faults()
    assert meter_entry({"zero": "0.2", "resolution": ""}, "meter", faults) == {"zero": Decimal("0.2")}
    assert faults == []


@pytest.mark.parametrize("zero", ["-0.3", "0", "0.3"])
def test_a_meter_zero_may_lie_on_either_side(zero):
    assert meter_entry({"zero": zero}, "meter", Faults()) == {"zero": Decimal(zero)}


# Positions


def test_the_engine_goes_without_saying_where_the_scope_is_the_engine():
    assert position_entry(None, "position", V4, "engine", Faults()) == ENGINE
    assert position_entry("", "position", V4, "engine", Faults()) == ENGINE


def test_a_bank_is_named_by_its_letter():
    assert position_entry("A", "position", V4, "bank", Faults()) == A


# Findings


def finding(**changes):
    faults = Faults()
    raw = {"component": "clip", "position": "A", "standing": "confirmed", "quantity": 3, "reason": "brittle"}
    raw = {key: value for key, value in (raw | changes).items() if value is not ...}
    return finding_entry(raw, "findings[0]", BOOK, faults), [str(fault) for fault in faults]


def test_a_finding_is_taken_with_its_pieces_and_its_reason():
    taken, faults = finding()
    assert faults == []
    assert (taken.component, taken.place, taken.standing, taken.quantity, taken.reason) == (
        "clip", A, "confirmed", 3, "brittle",
    )  # fmt: skip


def test_a_finding_without_a_quantity_is_one_piece():
    assert finding(quantity=...)[0].quantity == 1


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"component": "clips"}, "findings[0], component: no component 'clips'; use clip"),
        ({"standing": "suspect"}, "findings[0], standing: no standing 'suspect'; use suspected"),
        ({"standing": ["confirmed"]}, "findings[0], standing: no standing '['confirmed']'; use confirmed"),
        ({"quantity": 0}, "findings[0], quantity: 0 is not a whole number from 1 to 1000; give one that is"),
        (
            {"quantity": 1001},
            "findings[0], quantity: 1001 is not a whole number from 1 to 1000; give one that is",
        ),
        ({"quantity": "many"}, "findings[0], quantity: 'many' is not a number; write the number alone"),
        ({"reason": " "}, "findings[0], reason: is empty; give it"),
        ({"reason": "x" * 301}, "findings[0], reason: has 301 characters; use at most 300"),
        ({"reason": 7}, "findings[0], reason: 7 is not text; write it in quotation marks"),
        ({"reason": ...}, "findings[0], reason: is missing; give it"),
        ({"position": "1"}, "findings[0], position: cylinder 1 is not a bank; use one of A, B"),
        ({"sort": "x"}, "findings[0], sort: no such field 'sort'; use component or position or"),
    ],
)
def test_a_wrong_finding_is_refused_with_where_what_and_what_would_be_right(changes, message):
    taken, faults = finding(**changes)
    assert taken is None
    assert len(faults) == 1
    assert faults[0].startswith(message)


@pytest.mark.parametrize("quantity", [1, "3", 1000])
def test_quantities_from_one_to_a_thousand_are_taken(quantity):
    assert finding(quantity=quantity)[0].quantity == int(quantity)


# Single values


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a\x00b", "has control characters in it"),
        ("a\x1bb", "has control characters in it"),
        ("a\x7fb", "has control characters in it"),
        ("a\x85b", "has control characters in it"),
        ("a\ud800b", "has half a character in it"),
        ("a\uffffb", "has half a character in it"),
    ],
)
def test_text_that_cannot_be_printed_or_stored_is_refused(text, why):
    faults = Faults()
    text_entry(text, "reason", faults, longest=10)
    assert [fault.what for fault in faults] == [why]


@pytest.mark.parametrize("text", ["Größe: 3 µm", "first\nsecond", "日本", "𝛀"])
def test_text_of_any_script_is_taken(text):
    faults = Faults()
    assert text_entry(text, "reason", faults, longest=20) == text
    assert faults == []


@pytest.mark.parametrize(("length", "faults_expected"), [(9, 0), (10, 0), (11, 1)])
def test_text_below_at_and_above_its_longest(length, faults_expected):
    faults = Faults()
    text_entry("x" * length, "name", faults, longest=10)
    assert len(faults) == faults_expected


@pytest.mark.parametrize(
    ("raw", "value"),
    [
        ("999999999999", "999999999999"),
        ("0.000001", "0.000001"),
        ("-3", "-3"),
        ("1e3", "1000"),
        ("+2.50", "2.50"),
    ],
)
def test_numbers_within_the_columns_are_taken_as_written(raw, value):
    faults = Faults()
    assert str(decimal_entry(raw, "value", faults)) == value
    assert faults == []


@pytest.mark.parametrize(
    ("raw", "taken"), [(0, None), (1, 1), (5, 5), (6, None), ("3", 3), ("3.0", 3), ("3.5", None)]
)
def test_whole_numbers_below_at_and_above_their_limits(raw, taken):
    assert whole_entry(raw, "pieces", Faults(), least=1, most=5) == taken
