"""The shelf list as it is read today: every line judged, priced, and counted into the orders it makes.

The statements sent to the database do not grow with the list.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from urllib.parse import urlencode

from catalog.cards import FamilyCard, OfferCard, PartCard
from catalog.counter import Judged
from catalog.counter_cards import Priced, Question, terms
from catalog.lookup import alike
from catalog.queries import offers_on, part_cards, rules_of_parts
from catalog.rules.landed import freight, landed
from catalog.rules.verdict import Verdict, sentence
from catalog.shelf_list import Line


@dataclass(frozen=True)
class Asked:
    """A line with the engine it is for: `question` is None where no engine was said or where what was
    known of it can no longer be read; `trouble` says so."""

    line: Line
    question: Question | None
    trouble: str = ""


@dataclass(frozen=True)
class Collected:
    place: int
    line: Line
    part: PartCard | None
    family: FamilyCard | None
    verdict: Verdict | None
    trouble: str
    chosen: Priced | None
    gone: bool

    @property
    def sentence(self) -> str:
        return sentence(self.verdict) if self.verdict else ""

    @property
    def question(self) -> str:
        """The counter's question about this line, as it stands in an address."""
        asked = {**dict(self.line.known), "quantity": str(self.line.pieces)}
        if self.part:
            asked |= {"number": self.part.number, "brand": self.part.brand}
        return urlencode(asked)


@dataclass(frozen=True)
class Order:
    """What is bought from one supplier: freight is paid once, on the goods of all its lines."""

    supplier: str
    currency: str
    goods: Decimal
    freight: Decimal
    deposit: Decimal
    arrival: date

    @property
    def total(self) -> Decimal:
        return self.goods + self.freight + self.deposit


def collected(asked: Sequence[Asked], day: date) -> list[Collected]:
    """The lines in their order. At most six statements: parts, what serves alike, rules, offers."""
    parts = {one.line.part for one in asked}
    families = {one.question.family.code for one in asked if one.question and one.question.family}
    cards, groups = part_cards(parts), alike(parts)
    lenders = {other.id for others in groups.values() for other in others}
    rules = rules_of_parts(parts | lenders, families) if families else {}
    offers = offers_on(parts, day)
    found = []
    for place, one in enumerate(asked):
        family = one.question.family if one.question else None
        of_family = {part: rule for (part, code), rule in rules.items() if family and code == family.code}
        card = cards.get(one.line.part)
        verdict = None
        if one.question is not None and card is not None:
            verdict = Judged(cards, of_family, groups).verdict(card.id, one.question)
        offer = _offer(one.line, offers)
        priced = Priced(offer, landed(terms(offer), one.line.pieces, day)) if offer else None
        gone = bool(one.line.supplier) and offer is None
        found.append(Collected(place, one.line, card, family, verdict, one.trouble, priced, gone))
    return found


def _offer(line: Line, offers: Mapping[int, Sequence[OfferCard]]) -> OfferCard | None:
    return next((o for o in offers.get(line.part, ()) if line.supplier and o.supplier == line.supplier), None)


def orders(lines: Sequence[Collected]) -> list[Order]:
    """One order a supplier, in the order of the list; amounts of two currencies stay apart."""
    by_supplier: dict[str, list[Priced]] = {}
    for one in lines:
        if one.chosen:
            by_supplier.setdefault(one.chosen.offer.supplier, []).append(one.chosen)
    found = []
    for chosen in by_supplier.values():
        offer = chosen[0].offer
        goods = sum((one.landed.goods for one in chosen), Decimal(0))
        found.append(
            Order(
                offer.supplier_name, offer.currency, goods,
                freight(goods, offer.freight, offer.free_freight_from),
                sum((one.landed.deposit for one in chosen), Decimal(0)),
                max(one.landed.arrival for one in chosen),
            )
        )  # fmt: skip
    return found


def totals(found: Sequence[Order]) -> dict[str, Decimal]:
    """By currency, what leaves the till."""
    sums: dict[str, Decimal] = {}
    for order in found:
        sums[order.currency] = sums.get(order.currency, Decimal(0)) + order.total
    return sums
