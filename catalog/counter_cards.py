"""The question put at the counter and the answers given, as plain values."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from catalog.cards import FamilyCard, OfferCard, PartCard, PositionCard
from catalog.lookup import Named
from catalog.rules.fitment import UnitFacts
from catalog.rules.verdict import Missing, Verdict, sentence
from catalog.spec_cards import SpecCard
from catalog.successors import Way


@dataclass(frozen=True)
class Question:
    """Which part (a number, or a part type) for which engine, at which position, how many pieces."""

    number: str
    part_type: str
    family: FamilyCard | None
    facts: UnitFacts | None
    position: PositionCard | None
    quantity: int


@dataclass(frozen=True)
class Priced:
    """An offer for the asked number of pieces: what has to be ordered, and what that costs without tax."""

    offer: OfferCard
    pieces: int
    each: Decimal
    cost: Decimal
    deposit: Decimal

    @property
    def breaks(self) -> tuple[tuple[int, Decimal], ...]:
        """Breaks not yet reached: from how many pieces, at which price."""
        return tuple((start, price) for start, price in self.offer.breaks if start > self.pieces)


@dataclass(frozen=True)
class Answer:
    part: PartCard
    verdict: Verdict | None
    listed_for: tuple[Named, ...]
    ways: tuple[Way, ...]
    alike: tuple[PartCard, ...]
    specs: tuple[SpecCard, ...]
    offers: tuple[Priced, ...]
    asked: bool

    @property
    def sentence(self) -> str:
        return sentence(self.verdict) if self.verdict else ""

    @property
    def open_reasons(self) -> tuple[str, ...]:
        """Why it cannot be told yet; a settled verdict says its reasons in its sentence."""
        if self.verdict is None or self.verdict.outcome != "cannot tell":
            return ()
        return tuple(dict.fromkeys(reason.text for reason in self.verdict.reasons))


@dataclass(frozen=True)
class Reply:
    """Answers in reading order; `near` where nothing has the asked number; `left_out` counts those past the
    limit; `fitted` are the values of each answered part type, by its name, as fitted to the family."""

    answers: tuple[Answer, ...]
    near: tuple[PartCard, ...]
    left_out: int
    fitted: Mapping[str, tuple[SpecCard, ...]] = field(default_factory=dict)

    def of(self, outcome: str) -> tuple[Answer, ...]:
        return tuple(a for a in self.answers if a.verdict and a.verdict.outcome == outcome)

    @property
    def unfit(self) -> tuple[Answer, ...]:
        return self.of("does not fit")

    @property
    def missing(self) -> tuple[Missing, ...]:
        """Every fact that some answer waits for, once, the most waited-for first."""
        waits: dict[Missing, int] = {}
        for answer in self.answers:
            for missing in answer.verdict.missing if answer.verdict else ():
                waits[missing] = waits.get(missing, 0) + 1
        return tuple(sorted(waits, key=lambda missing: -waits[missing]))


def priced(offers: Sequence[OfferCard], quantity: int) -> tuple[Priced, ...]:
    """The offers for at least `quantity` pieces, cheapest first; deposit, freight and tax not counted."""
    found = []
    for offer in offers:
        pieces = offer.orderable(quantity)
        each = offer.piece_price(pieces)
        found.append(Priced(offer, pieces, each, each * pieces, offer.deposit * pieces))
    return tuple(sorted(found, key=lambda p: (p.offer.currency, p.cost, p.offer.lead_days, p.offer.supplier)))
