"""What the next reading would settle: which parts it clears or proves at fault, and which repairs hang on it.

What would be quoted follows from where each suspect stands: a confirmed one's repair is firm, a suspected
one's is contingent, a cleared one's is not quoted. A person's own finding goes before the readings, so no
test moves it. A relay and a heater are suspected; a good reading of the heater leaves the relay:

>>> from decimal import Decimal
>>> from catalog.cards import FamilyCard
>>> from catalog.service_cards import ComponentCard
>>> engine = PositionCard("engine", "engine", None)
>>> parts = {code: ComponentCard(code, code, "engine", None, Decimal(1)) for code in ("relay", "heater")}
>>> book = ServiceBook(FamilyCard("i1", "Single", 1, None, {}, {}, (engine,)), parts, {}, {}, {}, {})
>>> relay, heater = ComponentAt("relay", "engine"), ComponentAt("heater", "engine")
>>> now = Known.of(book, [Evidence("r1", "bad", frozenset({relay, heater}), "preheat current")], {})
>>> settles(now, frozenset({heater}), "good", Fraction(1, 2)).text
'At fault: relay; sound: heater.'
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook
from estimates.rules.derive import GROUP_OF
from estimates.rules.diagnosis import ComponentAt, Evidence
from estimates.rules.plan import FoundStanding, Group, places_in_words
from estimates.rules.standings import Sifted, accused, sift

TRIED = "the next reading"


@dataclass(frozen=True, slots=True)
class Quoted:
    """A repair that would be quoted at one place; `code` is the operation's, else the component's."""

    code: str
    title: str
    place: PositionCard


@dataclass(frozen=True)
class Known:
    """What the readings say, and what would be quoted for it."""

    book: ServiceBook
    sifted: Sifted
    standing: Mapping[ComponentAt, FoundStanding]
    by_hand: Mapping[ComponentAt, FoundStanding]
    quoted: Mapping[Quoted, Group]

    @classmethod
    def of(
        cls, book: ServiceBook, evidence: Iterable[Evidence], by_hand: Mapping[ComponentAt, FoundStanding]
    ) -> Known:
        """`by_hand`: the standings that a person gave."""
        sifted = sift(evidence)
        standing: dict[ComponentAt, FoundStanding] = dict(accused(sifted))
        return cls(book, sifted, standing, by_hand, _quoted(book, standing | dict(by_hand)))

    def after(self, tried: Sequence[tuple[frozenset[ComponentAt], Literal["good", "bad"]]]) -> Known:
        """What would be known after these readings, each a path and its outcome."""
        more = (Evidence(f"{TRIED} {n}", outcome, path, TRIED) for n, (path, outcome) in enumerate(tried))
        return Known.of(self.book, (*self.sifted.readings, *more), self.by_hand)


@dataclass(frozen=True, slots=True)
class Settles:
    """What one outcome of a test, of this chance, would settle.

    `confirmed`, `sound` and `not_needed` are new: proved at fault, proved good, or accounted for by others;
    `left` stay suspected. `firm` repairs would become due, `dropped` ones would no longer be quoted, `added`
    ones would be quoted as contingent.
    """

    outcome: Literal["good", "bad"]
    chance: Fraction
    confirmed: tuple[ComponentAt, ...]
    sound: tuple[ComponentAt, ...]
    not_needed: tuple[ComponentAt, ...]
    left: tuple[ComponentAt, ...]
    firm: tuple[Quoted, ...]
    dropped: tuple[Quoted, ...]
    added: tuple[Quoted, ...]
    text: str

    @property
    def changes_quote(self) -> bool:
        return bool(self.firm or self.dropped or self.added)


def settles(
    now: Known, path: frozenset[ComponentAt], outcome: Literal["good", "bad"], chance: Fraction
) -> Settles:
    """What a test through `path` would settle if it came out so."""
    then = now.after([(path, outcome)])
    book = now.book
    new = [c for c, standing in then.standing.items() if standing == "confirmed"]
    confirmed = in_order(book, (c for c in new if now.standing.get(c) != "confirmed"))
    sound = in_order(book, path - now.sifted.cleared) if outcome == "good" else ()
    gone = now.standing.keys() - then.standing.keys()
    not_needed = in_order(book, gone - set(sound))
    left = in_order(book, (c for c, standing in then.standing.items() if standing == "suspected"))
    return Settles(
        outcome,
        chance,
        confirmed,
        sound,
        not_needed,
        left,
        firm=_moved(q for q, group in then.quoted.items() if group == "firm" != now.quoted.get(q)),
        dropped=_moved(q for q in now.quoted if q not in then.quoted),
        added=_moved(q for q, group in then.quoted.items() if group == "contingent" and q not in now.quoted),
        text=_text(book, confirmed, sound, not_needed, left),
    )


def in_order(book: ServiceBook, components: Iterable[ComponentAt]) -> tuple[ComponentAt, ...]:
    """As the service data lists components and places."""
    order = {code: number for number, code in enumerate(book.components)}
    places = {position.code: number for number, position in enumerate(book.family.positions)}
    return tuple(sorted(components, key=lambda at: (order[at.component], places[at.position])))


def in_words(book: ServiceBook, components: Sequence[ComponentAt]) -> str:
    """Components of one name together: "glow plug (cylinders 1 and 3), relay and ground strap"."""
    places: dict[str, list[PositionCard]] = {}
    for at in components:
        position = book.family.position(at.position)
        assert position is not None  # paths are made of the family's positions
        places.setdefault(book.components[at.component].name, []).append(position)
    words = []
    for name, positions in places.items():
        where = places_in_words(tuple(positions))
        words.append(f"{name} ({where})" if where else name)
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _quoted(book: ServiceBook, standing: Mapping[ComponentAt, FoundStanding]) -> dict[Quoted, Group]:
    """The repairs that these standings call for; the firmest standing of its components decides one."""
    found: dict[Quoted, Group] = {}
    firmest: tuple[Group, ...] = ("firm", "contingent", "optional")
    for at, stands in standing.items():
        position = book.family.position(at.position)
        assert position is not None
        group, operation = GROUP_OF[stands], book.repair_of.get(at.component)
        if operation is None:
            repairs = [Quoted(at.component, book.components[at.component].name, position)]
        else:
            places = book.family.enclosing(position, operation.scope)
            repairs = [Quoted(operation.code, operation.name, place) for place in places]
        for repair in repairs:
            found[repair] = min(group, found.get(repair, group), key=firmest.index)
    return found


def _moved(quoted: Iterable[Quoted]) -> tuple[Quoted, ...]:
    return tuple(sorted(quoted, key=lambda q: (q.code, len(q.place.code), q.place.code)))


def _text(
    book: ServiceBook,
    confirmed: Sequence[ComponentAt],
    sound: Sequence[ComponentAt],
    not_needed: Sequence[ComponentAt],
    left: Sequence[ComponentAt],
) -> str:
    # Without verbs: some components are called in the plural ("return hoses").
    said = (
        ("at fault", confirmed),
        ("sound", sound),
        ("not needed to explain the bad readings", not_needed),
        ("suspected", left),
    )
    text = "; ".join(f"{what}: {in_words(book, which)}" for what, which in said if which)
    return f"{text[:1].upper()}{text[1:]}." if text else "Nothing more is known."
