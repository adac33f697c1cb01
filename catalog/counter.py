"""The counter's answer: per part a verdict with its reason, what replaced it, its specs, who sells it today.

However many parts are answered about, the database is asked the same number of times.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.cards import PartCard
from catalog.counter_cards import Answer, OldStock, Question, Reply, priced
from catalog.lookup import alike, listed_for, parts_numbered
from catalog.queries import candidates, offers_on, part_cards, rules_of_parts
from catalog.rules.fitment import Rule
from catalog.rules.interchange import judge_with_interchange
from catalog.rules.replacement_later import still_to_come
from catalog.rules.still_serves import still_serves
from catalog.rules.verdict import Verdict
from catalog.serving import Serving, serving
from catalog.spec_cards import specs_of
from catalog.successors import Successors

ANSWERED_AT_MOST = 60
ORDER = {"fits": 0, "cannot tell": 1, "does not fit": 2}


@dataclass(frozen=True)
class Judged:
    """The parts to answer about, the rules of each for the family, and the parts that serve alike."""

    cards: Mapping[int, PartCard]
    rules: Mapping[int, Sequence[Rule]]
    groups: Mapping[int, tuple[PartCard, ...]]

    def verdict(self, part: int, question: Question) -> Verdict | None:
        family, facts, position = question.family, question.facts, question.position
        if family is None or facts is None:
            return None
        return judge_with_interchange(
            self.rules.get(part, ()),
            {other.label: self.rules.get(other.id, ()) for other in self.groups.get(part, ())},
            facts,
            family.scheme,
            position=position.code if position else None,
            scope=position.scope if position else None,
            option_names=family.option_names,
            bank_of=family.bank_of,
        )


def reply(question: Question, day: date) -> Reply:
    """What the counter says. Raises Refused for a part number of nothing but spaces and dashes."""
    cards = parts_numbered(question.number, question.brand) if question.number else []
    asked = {card.id for card in cards}
    if question.number and not asked:
        return Reply((), 0)
    judged = _listed(question) if not question.number else None
    successors = Successors(asked or set(judged.cards if judged else ()), day)
    judged = judged or _numbered(question, successors, asked)
    verdicts = {part: judged.verdict(part, question) for part in judged.cards}
    in_order = sorted(judged.cards, key=lambda p: (p not in asked, _rank(verdicts[p]), judged.cards[p].label))
    shown = in_order[:ANSWERED_AT_MOST]
    # A part type may have hundreds that do not fit: about those the verdict is all that matters.
    told = [p for p in shown if question.number or _rank(verdicts[p]) < ORDER["does not fit"]]
    offers, stock = offers_on(told, day), serving(told)
    of_parts, of_types = specs_of(
        told, question.family.code if question.family else None, {judged.cards[p].part_type for p in told}
    )
    listed = listed_for(told) if question.family is None else {}
    others = _others(stock, (*judged.cards.values(), *successors.cards.values()))
    answers = [
        Answer(
            part=judged.cards[part],
            verdict=verdicts[part],
            listed_for=listed.get(part, ()),
            ways=successors.of(part),
            specs=of_parts.get(part, ()),
            offers=priced(
                offers.get(part, ()),
                question.quantity,
                day,
                soonest=question.soonest,
                own=question.currency,
            ),
            asked=part in asked,
            old_stock=_old_stock(part, stock, others, day) if part in told else (),
            to_come=tuple(
                later.text({str(key): card.label for key, card in successors.cards.items()})
                for later in still_to_come(str(part), successors.rows, day)
            ),
        )
        for part in shown
    ]
    if not question.number:
        answers.sort(key=lambda answer: (_rank(answer.verdict), _first_offer(answer, question)))
    fitted = {specs[0].part_type: specs for specs in of_types.values()}
    return Reply(tuple(answers), len(in_order) - len(shown), fitted)


def _listed(question: Question) -> Judged:
    """Every part of the type that some rule of the family speaks of, and what serves alike with one."""
    if question.family is None:
        return Judged({}, {}, {})
    found = candidates(question.family.code, [question.part_type])[question.part_type]
    cards = {candidate.part.id: candidate.part for candidate in found}
    groups = alike(cards)
    cards |= {other.id: other for others in groups.values() for other in others}
    rules = {candidate.part.id: candidate.rules for candidate in found}
    return Judged(cards, rules, _complete(cards, groups))


def _numbered(question: Question, successors: Successors, asked: Collection[int]) -> Judged:
    """The asked parts and what serves for them today, each with the rules of the family."""
    wanted = set(asked) | successors.ends(asked)
    cards = {part: successors.cards[part] for part in wanted}
    if question.family is None:
        return Judged(cards, {}, {})
    groups = alike(wanted)
    lenders = {other.id for others in groups.values() for other in others}
    code = question.family.code
    rules = {part: found for (part, _), found in rules_of_parts(wanted | lenders, [code]).items()}
    return Judged(cards, rules, groups)


def _complete(
    cards: Mapping[int, PartCard], groups: Mapping[int, tuple[PartCard, ...]]
) -> dict[int, tuple[PartCard, ...]]:
    """The groups by every member, not only by those that were asked about."""
    found = dict(groups)
    for own, others in groups.items():
        for other in others:
            rest = (card for card in others if card.id != other.id)
            found.setdefault(other.id, (*rest, cards[own]))
    return found


def _others(stock: Serving, at_hand: Iterable[PartCard]) -> dict[int, PartCard]:
    cards = {card.id: card for card in at_hand}
    return cards | part_cards(stock.parts - cards.keys())


def _old_stock(part: int, stock: Serving, cards: Mapping[int, PartCard], day: date) -> tuple[OldStock, ...]:
    names = {str(key): card.label for key, card in cards.items()}
    return tuple(
        OldStock(cards[int(one.part)], one.text(names), one.counts)
        for one in still_serves(str(part), stock.replacements, stock.groups, day)
    )


def _rank(verdict: Verdict | None) -> int:
    return ORDER[verdict.outcome] if verdict else 0


def _first_offer(answer: Answer, question: Question) -> tuple[object, ...]:
    """Parts nobody offers come last; currencies stay apart, the workshop's own first."""
    if not answer.offers:
        return (True, answer.part.label)
    offer = answer.offers[0]
    cost: Decimal | date = offer.landed.total
    order = (offer.landed.arrival, cost) if question.soonest else (cost, offer.landed.arrival)
    currency = offer.offer.currency
    return (False, currency != question.currency, currency, *order, answer.part.label)
