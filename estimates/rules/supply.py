"""Which part answers a need, from whom, at what price; and what is still open about it.

Parts that fit are compared by what the needed pieces cost from each valid offer, in whole packs; the
cheapest wins, then the sooner one. A part that was replaced is bought as what replaced it. Where no part is
known to fit but some may, the line is marked to be confirmed, names the missing fact, and is priced at the
dearest of the candidates, so that finding out never makes it dearer. A need that nothing answers is a
problem with a name; it is never left out of the price in silence.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from catalog.cards import Candidate, FamilyCard, OfferCard, PartCard
from catalog.rules.fitment import UnitFacts, Verdict, judge, sentence
from estimates.rules.plan import NeedAt
from estimates.rules.terms import Terms
from estimates.rules.workload import NeedKey

Bundle = tuple[tuple[int, int], ...]
"""(part id, pieces of it) that together stand for one piece of what is needed."""


@dataclass(frozen=True, slots=True)
class Market:
    """What the catalogue says about the needed part types on one day.

    `candidates` by part type; `offers` by part id, all valid; `parts` by id; `successors` by part id: what
    the part is bought as today, empty or absent where it stands for itself.
    """

    candidates: Mapping[str, Sequence[Candidate]]
    offers: Mapping[int, Sequence[OfferCard]]
    parts: Mapping[int, PartCard]
    successors: Mapping[int, Sequence[Bundle]]


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a supply: `per` of it for each piece needed; cost and price per piece without tax."""

    part: PartCard
    per: int
    offer: OfferCard | None
    cost: Decimal
    price: Decimal
    deposit: Decimal
    why: str


@dataclass(frozen=True, slots=True)
class Supply:
    """The answer to a need. `to_confirm` names the missing fact; `span` is then the price span per piece.

    `problem` says why there is no answer; then there are no pieces.
    """

    pieces: tuple[Piece, ...]
    verdict: str
    to_confirm: str = ""
    candidates: tuple[str, ...] = ()
    span: tuple[Decimal, Decimal] | None = None
    problem: str = ""

    @property
    def price(self) -> Decimal:
        """Of one piece needed, without tax and deposit."""
        return sum((piece.price * piece.per for piece in self.pieces), Decimal(0))


@dataclass(frozen=True, slots=True)
class _Choice:
    """Bundles that would answer a need; places with equal ones are bought together, whatever the words."""

    bundles: tuple[Bundle, ...]
    to_confirm: str
    problem: str
    verdicts: tuple[str, ...] = field(default=(), compare=False)


def resolve(
    needs: Sequence[NeedAt],
    quantities: Mapping[NeedKey, int],
    market: Market,
    facts: UnitFacts,
    family: FamilyCard,
    terms: Terms,
) -> dict[NeedKey, Supply]:
    """A supply for every need. `quantities`: pieces to buy by need, which decide price breaks and packs.

    Needs that the same parts answer are bought together.
    """
    choices = {need.key: _choose(need, market, facts, family) for need in needs}
    together: dict[tuple[str, _Choice], int] = defaultdict(int)
    for need in needs:
        together[need.part_type, choices[need.key]] += quantities.get(need.key, need.quantity)
    supplies = {
        (part_type, choice): _supply(choice, quantity, market, terms)
        for (part_type, choice), quantity in together.items()
    }
    return {need.key: supplies[need.part_type, choices[need.key]] for need in needs}


def _choose(need: NeedAt, market: Market, facts: UnitFacts, family: FamilyCard) -> _Choice:
    verdicts: dict[int, Verdict] = {}
    for candidate in market.candidates.get(need.part_type, ()):
        verdicts[candidate.part.id] = judge(
            candidate.rules, facts, family.scheme, need.place.code, need.place.scope, family.option_names
        )
    fitting = [(part, verdict) for part, verdict in verdicts.items() if verdict.outcome == "fits"]
    open_ones = [(part, verdict) for part, verdict in verdicts.items() if verdict.outcome == "cannot tell"]
    taken = fitting or open_ones
    bundles: dict[Bundle, str] = {}
    for part, verdict in taken:
        for bundle in market.successors.get(part) or (((part, 1),),):
            # What replaced a fitting part may have rules of its own; one that rules it out stands.
            if all(
                part_id not in verdicts or verdicts[part_id].outcome != "does not fit"
                for part_id, _ in bundle
            ):
                bundles.setdefault(bundle, sentence(verdict))
    if not bundles:
        where = need.place.label
        return _Choice((), "", f"no {need.type_name} in the catalogue fits {where} of this {family.name}")
    missing = "" if fitting else _missing(open_ones)
    ordered = sorted(bundles)
    return _Choice(tuple(ordered), missing, "", tuple(bundles[bundle] for bundle in ordered))


def _missing(open_ones: Sequence[tuple[int, Verdict]]) -> str:
    texts = dict.fromkeys(missing.text for _, verdict in open_ones for missing in verdict.missing)
    return " and ".join(texts)


@dataclass(frozen=True, slots=True)
class _Bought:
    """One part of a bundle as it would be bought: cost per piece, and what the wanted pieces cost in all."""

    part: PartCard
    per: int
    offer: OfferCard | None
    cost: Decimal
    spent: Decimal


def _supply(choice: _Choice, quantity: int, market: Market, terms: Terms) -> Supply:
    if choice.problem:
        return Supply((), "", problem=choice.problem)
    found: list[tuple[Decimal, int, str, list[_Bought], str]] = []
    unpriced: set[str] = set()
    for bundle, verdict in zip(choice.bundles, choice.verdicts, strict=True):
        parts = [market.parts[part_id] for part_id, _ in bundle]
        tried = [
            _buy(part, per, per * quantity, market, terms)
            for part, (_, per) in zip(parts, bundle, strict=True)
        ]
        bought = [one for one in tried if one is not None]
        label = " + ".join(part.label for part in parts)
        if len(bought) < len(bundle):
            unpriced.add(label)
            continue
        spent = sum((one.spent for one in bought), Decimal(0))
        days = max(one.offer.lead_days if one.offer else 0 for one in bought)
        found.append((spent, days, label, bought, verdict))
    if not found:
        names = ", ".join(sorted(unpriced))
        problem = f"no supplier offers {names} in {terms.currency} today, and there is no list price"
        return Supply((), "", problem=problem)
    found.sort(key=lambda entry: entry[:3])
    if not choice.to_confirm:
        *_, bought, verdict = found[0]
        return Supply(tuple(_priced(one, terms) for one in bought), verdict)
    supplies = [Supply(tuple(_priced(one, terms) for one in entry[3]), entry[4]) for entry in found]
    dearest = max(supplies, key=lambda supply: supply.price)
    return Supply(
        dearest.pieces,
        dearest.verdict,
        to_confirm=choice.to_confirm,
        candidates=tuple(dict.fromkeys(entry[2] for entry in found)),
        span=(min(supply.price for supply in supplies), dearest.price),
    )


def _buy(part: PartCard, per: int, quantity: int, market: Market, terms: Terms) -> _Bought | None:
    """The cheapest valid offer for this many pieces; without one the list price; None without either."""
    offers = [offer for offer in market.offers.get(part.id, ()) if offer.currency == terms.currency]
    if offers:
        offer = min(offers, key=lambda o: (o.cost(quantity), o.lead_days, o.supplier))
        cost = offer.piece_price(offer.orderable(quantity))
        return _Bought(part, per, offer, cost, offer.cost(quantity))
    listed = _list_price(part, terms)
    return None if listed is None else _Bought(part, per, None, listed, listed * quantity)


def _list_price(part: PartCard, terms: Terms) -> Decimal | None:
    return part.list_price if part.list_currency == terms.currency else None


def _priced(bought: _Bought, terms: Terms) -> Piece:
    part, offer = bought.part, bought.offer
    sold = terms.sell(bought.cost, _list_price(part, terms))
    if offer is None:
        why = "list price: no supplier offers it today"
        return Piece(part, bought.per, None, bought.cost, sold.amount, Decimal(0), why)
    return Piece(part, bought.per, offer, bought.cost, sold.amount, offer.deposit, sold.reason)
