"""A charging circuit and a fuel return, described in the demonstration's tables and nowhere else: taking the
first test advised, again and again, leads to the part at fault.

The readings are made up: a test is read as bad where the part put down as faulty lies in its path, else good.
"""

import json
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from catalog.service_cards import ServiceBook
from estimates.builder import book_of
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.entry import expectation_of
from estimates.rules.intake import ReadingIn
from estimates.rules.judging import assess, path_at
from estimates.rules.next_test import Advice, next_tests
from estimates.rules.reading import Measured

FILE = Path(__file__).resolve().parents[2] / "fixtures" / "jobs" / "v8-rough-cold-start.json"
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


def test_the_rough_cold_start_is_told_in_lines_up_to_the_dead_plug(tmp_path: Path):
    raw = json.loads(FILE.read_text(encoding="utf-8"))
    told = []
    for count in (8, len(raw["readings"])):
        path, said = tmp_path / "job.json", StringIO()
        path.write_text(json.dumps(raw | {"readings": raw["readings"][:count], "findings": []}))
        call_command("estimate", str(path), "--quiet", "--next-test", stdout=said)
        told.append(said.getvalue().splitlines())
    # 40 against 12 on record: 77 and 23 of 100. 59 minutes of access and 4 for the first lead. So far
    # 6 + 7 x 2 and 4 + 2 x 4 of access, 32 minutes, 0.5 h; with it 95, 1.6 h: 1.1 h more at 92.00.
    assert told[0][:4] == [
        "What to test next",
        "  Glow-plug lead from connector pin to eyelet, cylinder 3: 63 min, adds 101.20 EUR of labour",
        "    good 77 %: At fault: glow plug (cylinder 3); "
        "sound: glow-plug lead in the gasket harness (cylinder 3).",
        "    bad 23 %: At fault: glow-plug lead in the gasket harness (cylinder 3); "
        "not needed to explain the bad readings: glow plug (cylinder 3).",
    ]
    assert told[1] == [
        "What to test next",
        "  Enough: every bad reading is accounted for by glow plug (cylinder 3); "
        "no test could change what is quoted.",
    ]
