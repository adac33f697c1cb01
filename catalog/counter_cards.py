"""The question put at the counter and the answers given, as plain values."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from catalog.cards import FamilyCard, OfferCard, PartCard, PositionCard
from catalog.lookup import Named
from catalog.rules.fitment import UnitFacts
from catalog.rules.landed import Landed, Terms, landed
from catalog.rules.verdict import Missing, Verdict, sentence
from catalog.spec_cards import SpecCard
from catalog.successors import Way
from shop.rules.currency import round_money


@dataclass(frozen=True)
class Question:
    """Which part (a number, or a part type) for which engine, at which position, how many pieces.

    `brand` narrows a number to one brand's; `soonest` puts what is here first before what costs least;
    `currency` is the workshop's own, whose offers come first.
    """

    number: str
    part_type: str
    family: FamilyCard | None
    facts: UnitFacts | None
    position: PositionCard | None
    quantity: int
    brand: str = ""
    soonest: bool = False
    currency: str = ""


@dataclass(frozen=True)
class Priced:
    """An offer with what the asked number of pieces costs on the bench, and when they are there."""

    offer: OfferCard
    landed: Landed

    @property
    def breaks(self) -> tuple[tuple[int, Decimal], ...]:
        """Breaks not yet reached: from how many pieces, at which price."""
        return tuple((start, price) for start, price in self.offer.breaks if start > self.landed.pieces)

    @property
    def each_landed(self) -> Decimal:
        return round_money(self.landed.each_landed, self.offer.currency)

    @property
    def each_kept(self) -> Decimal:
        return round_money(self.landed.each_kept, self.offer.currency)


@dataclass(frozen=True)
class OldStock:
    """A part on the shelf that still serves, or will, and why."""

    part: PartCard
    text: str
    counts: bool


@dataclass(frozen=True)
class Answer:
    part: PartCard
    verdict: Verdict | None
    listed_for: tuple[Named, ...]
    ways: tuple[Way, ...]
    specs: tuple[SpecCard, ...]
    offers: tuple[Priced, ...]
    asked: bool
    old_stock: tuple[OldStock, ...] = ()
    to_come: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        return sentence(self.verdict) if self.verdict else ""

    @property
    def alike(self) -> tuple[PartCard, ...]:
        """The parts that serve in its place today."""
        return tuple(stock.part for stock in self.old_stock if stock.counts)

    @property
    def currencies(self) -> tuple[tuple[str, tuple[Priced, ...]], ...]:
        """The offers by currency, in reading order: amounts of two currencies are never set side by side."""
        found: dict[str, list[Priced]] = {}
        for priced in self.offers:
            found.setdefault(priced.offer.currency, []).append(priced)
        return tuple((currency, tuple(offers)) for currency, offers in found.items())

    @property
    def open_reasons(self) -> tuple[str, ...]:
        """Why it cannot be told yet; a settled verdict says its reasons in its sentence."""
        if self.verdict is None or self.verdict.outcome != "cannot tell":
            return ()
        return tuple(dict.fromkeys(reason.text for reason in self.verdict.reasons))


@dataclass(frozen=True)
class Reply:
    """Answers in reading order; `left_out` counts those past the limit; `fitted` are the values of each
    answered part type, by its name, as fitted to the family."""

    answers: tuple[Answer, ...]
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


def terms(offer: OfferCard) -> Terms:
    return Terms(
        offer.price, offer.breaks, offer.pack, offer.minimum_quantity, offer.deposit, offer.freight,
        offer.free_freight_from, offer.lead_days, offer.stated_on, offer.stale_after_days,
    )  # fmt: skip


def priced(
    offers: Sequence[OfferCard], quantity: int, day: date, *, soonest: bool = False, own: str = ""
) -> tuple[Priced, ...]:
    """The offers for at least `quantity` pieces ordered on `day`: those in the workshop's `own` currency
    first, then by landed cost, or by arrival where `soonest`. Tax is not counted."""
    found = [Priced(offer, landed(terms(offer), quantity, day)) for offer in offers]

    def order(one: Priced) -> tuple[object, ...]:
        cost, arrival = one.landed.total, one.landed.arrival
        currency = one.offer.currency
        by = (arrival, cost) if soonest else (cost, arrival)
        return (currency != own, currency, *by, one.offer.supplier)

    return tuple(sorted(found, key=order))
