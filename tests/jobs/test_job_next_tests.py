"""A charging circuit and a fuel return, described in the demonstration's tables and nowhere else: taking the
first test advised, again and again, leads to the part at fault.

The readings are made up: a test is read as bad where the part put down as faulty lies in its path, else good.
"""

from decimal import Decimal

import pytest

from catalog.service_cards import ServiceBook
from estimates.builder import book_of
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.entry import expectation_of
from estimates.rules.intake import ReadingIn
from estimates.rules.judging import assess, path_at
from estimates.rules.next_test import Advice, next_tests
from estimates.rules.reading import Measured

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.databases("sqlite"),
    pytest.mark.usefixtures("demo_catalogue"),
]
ALL = ("alternator", "charge-cable", "charge-fuse", "drive-belt", "ground-strap", "regulator")
CHARGING = [("fell-4", "charging-voltage", part, "engine") for part in ALL]
RETURN = [
    ("fell-4", "return-tightness", "return-hose", "engine"),
    ("fell-4", "return-tightness", "injector-seal", "3"),
    ("fell-8", "return-tightness", "return-hose", "A"),
    ("fell-8", "return-tightness", "injector-seal", "2"),
    ("odde-6", "return-tightness", "leak-off-rail", "engine"),
    ("odde-6", "return-tightness", "injector-seal", "5"),
]


def taken(book: ServiceBook, code: str, place: str, fault: ComponentAt) -> ReadingIn:
    card, position = book.test_points[code], book.family.position(place)
    assert position is not None
    bad = fault in path_at(book, card, position)
    if card.kind == "lamp":
        other = "off" if card.lamp == "on" else "on"
        return ReadingIn(code, position, Measured(other if bad else card.lamp), "lamp")
    expected = expectation_of(card)
    low, high = expected.minimum, expected.maximum
    sound = low + 0 if high is None else high if low is None else (low + high) / 2
    value = sound if not bad else (low / 2 if low is not None else high * 3)
    return ReadingIn(code, position, Measured("number", Decimal(value)), str(value))


def advice_on(book: ServiceBook, readings: list[ReadingIn]) -> Advice:
    return next_tests(book, assess(book, readings, []), [])


@pytest.mark.parametrize(("family", "complaint", "component", "place"), CHARGING + RETURN)
def test_the_first_test_advised_again_and_again_leads_to_the_part_at_fault(
    family: str, complaint: str, component: str, place: str
):
    book, fault = book_of(family), ComponentAt(component, place)
    scope = book.test_points[complaint].scope
    at = place if scope != "engine" else "engine"
    if scope == "bank" and place not in "AB":
        at = book.family.bank_of[place]
    readings = [taken(book, complaint, at, fault)]
    minutes = 0
    while (advice := advice_on(book, readings)).verdict == "test":
        first = advice.tests[0]
        minutes += first.minutes
        readings.append(taken(book, first.card.code, first.place.code, fault))
    found = assess(book, readings, []).findings
    assert [(f.component, f.position.code, f.standing) for f in found] == [(component, place, "confirmed")]
    assert advice.verdict == "enough"
    assert len(readings) <= 9
    assert minutes > 0
