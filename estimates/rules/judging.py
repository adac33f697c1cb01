"""From readings to findings: judge each reading, compare peers, diagnose, and set a person's word beside it.

A reading is judged against its test point's limits, then against its peers: one that lies apart from the
others of the same engine is at best unclear. What a good or bad reading says about its path is put together
into diagnoses. A finding entered by hand stands beside the computed one for the same component and place and
goes before it.

A relay whose lamp stays dark is the only thing in the path of that test:

>>> from catalog.cards import FamilyCard
>>> from catalog.service_cards import ComponentCard
>>> from estimates.rules.measured import Measured
>>> engine = PositionCard("engine", "engine", None)
>>> relay = ComponentCard("relay", "glow relay", "engine", None, Decimal(1))
>>> lamp = TestPointCard("lamp", "lamp at the relay", "engine", "lamp", "", None, None, "on", None, None,
...     None, 5, 5, "", ("relay",), (), ())
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> book = ServiceBook(family, {"relay": relay}, {}, {"lamp": lamp}, {}, {})
>>> found = assess(book, [ReadingIn("lamp", engine, Measured("off"), "lamp off")], []).findings[0]
>>> found.name, found.standing, found.reasons
('glow relay', 'confirmed', ('the only component left in the path of lamp at the relay',))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import cast

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.rules.diagnosis import ComponentAt, Diagnosis, Evidence, diagnose
from estimates.rules.entry import expectation_of
from estimates.rules.intake import JudgedIn, ReadingIn
from estimates.rules.peers import with_peers
from estimates.rules.plan import Found, FoundStanding
from estimates.rules.reading import Judgement, judge


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading with its judgement."""

    reading: ReadingIn
    judgement: Judgement


@dataclass(frozen=True)
class Assessment:
    """All readings judged (both phases), the diagnosis from those before the repair, and the findings.

    `evidence` is what the diagnosis was made from.
    """

    readings: tuple[Judged, ...]
    diagnosis: Diagnosis
    findings: tuple[Found, ...]
    evidence: tuple[Evidence, ...] = ()


def assess(book: ServiceBook, readings: Sequence[ReadingIn], judged: Sequence[JudgedIn]) -> Assessment:
    """Judge, diagnose, and list the findings: computed ones first by component, then a person's own."""
    all_judged = judge_readings(book, readings)
    evidence = tuple(
        Evidence(one.reading.key, one.judgement.outcome, path, worded(card.name, one.reading.place))
        for one in all_judged
        if one.reading.phase == "before"
        and (path := path_at(book, card := book.test_points[one.reading.test_point], one.reading.place))
    )
    likelihood = {at: book.components[at.component].likelihood for one in evidence for at in one.path}
    diagnosis = diagnose(evidence, likelihood, called=lambda at: _called(book, at))
    return Assessment(tuple(all_judged), diagnosis, _findings(book, diagnosis, judged), evidence)


def judge_readings(book: ServiceBook, readings: Sequence[ReadingIn]) -> list[Judged]:
    """Each reading against its limits, then against its peers of the same test point and phase."""
    groups: dict[tuple[str, str], list[ReadingIn]] = defaultdict(list)
    for reading in readings:
        groups[reading.test_point, reading.phase].append(reading)
    found: dict[tuple[str, str], Judgement] = {}
    for (test_point, phase), same in groups.items():
        expected = expectation_of(book.test_points[test_point])
        alone = {reading.place.code: judge(reading.measured, expected) for reading in same}
        resolution = max((reading.measured.resolution for reading in same), default=Decimal(0))
        for code, judgement in with_peers(alone, resolution=resolution).items():
            found[f"{test_point}@{code}", phase] = judgement
    return [Judged(reading, found[reading.key, reading.phase]) for reading in readings]


def path_of(book: ServiceBook, reading: ReadingIn) -> frozenset[ComponentAt]:
    """The components the measured path runs through, each at its own place."""
    return path_at(book, book.test_points[reading.test_point], reading.place)


def path_at(book: ServiceBook, card: TestPointCard, place: PositionCard) -> frozenset[ComponentAt]:
    """The components that this test, taken at `place`, runs through."""
    return frozenset(
        ComponentAt(code, at.code)
        for code in card.path
        for at in book.family.enclosing(place, book.components[code].scope)
    )


def in_a_sentence(name: str) -> str:
    """A name inside a sentence: "Glow-plug resistance" loses its capital, "B+ voltage" keeps it."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def worded(name: str, place: PositionCard) -> str:
    """A test at its place, inside a sentence: "resistance at the connector, cylinder 3"."""
    name = in_a_sentence(name)
    return name if place.scope == "engine" else f"{name}, {place.label}"


def _called(book: ServiceBook, at: ComponentAt) -> str:
    name = book.components[at.component].name
    position = book.family.position(at.position)
    return name if position is None or position.scope == "engine" else f"{name}, {position.label}"


def _findings(book: ServiceBook, diagnosis: Diagnosis, judged: Sequence[JudgedIn]) -> tuple[Found, ...]:
    by_hand = {ComponentAt(one.component, one.place.code): one for one in judged}
    order = {code: number for number, code in enumerate(book.components)}
    places = {position.code: number for number, position in enumerate(book.family.positions)}
    computed: dict[ComponentAt, FoundStanding] = {
        at: cast(FoundStanding, standing.outcome)
        for at, standing in diagnosis.standing.items()
        if standing.outcome in ("confirmed", "suspected")
    }
    found = []
    for at in sorted({**computed, **by_hand}, key=lambda a: (order[a.component], places[a.position])):
        hand = by_hand.get(at)
        reasons = [hand.reason] if hand else []
        if at in computed:
            reasons.append(diagnosis.standing[at].reason)
        found.append(
            Found(
                component=at.component,
                name=book.components[at.component].name,
                position=_position(book, at.position),
                computed=computed.get(at),
                judged=hand.standing if hand else None,
                quantity=hand.quantity if hand else 1,
                reasons=tuple(reasons),
            )
        )
    return tuple(found)


def _position(book: ServiceBook, code: str) -> PositionCard:
    position = book.family.position(code)
    assert position is not None  # readings and findings are checked against the family's positions
    return position
