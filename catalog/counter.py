"""The counter's answer: per part a verdict with its reason, what replaced it, its specs, who sells it today.

However many parts are answered about, the database is asked the same number of times.
"""

from collections.abc import Collection, Sequence
from datetime import date
from decimal import Decimal

from catalog.cards import PartCard
from catalog.counter_cards import Answer, Question, Reply, priced
from catalog.lookup import alike, listed_for, parts_near, parts_numbered
from catalog.queries import candidates, offers_on, rules_of_parts
from catalog.rules.fitment import Rule, judge
from catalog.rules.verdict import Verdict
from catalog.spec_cards import specs_of
from catalog.successors import Successors

ANSWERED_AT_MOST = 60
ORDER = {"fits": 0, "cannot tell": 1, "does not fit": 2}


def reply(question: Question, day: date) -> Reply:
    """What the counter says. Raises Refused for a part number of nothing but spaces and dashes."""
    asked = {card.id for card in parts_numbered(question.number)} if question.number else set()
    if question.number and not asked:
        return Reply((), tuple(parts_near(question.number)), 0)
    rules = {} if question.number else _listed(question)
    successors = Successors(asked or {card.id for card, _ in rules.values()}, day)
    if question.number:
        rules = _of_numbered(question, successors, asked)
    verdicts = {part: _judge(question, of_part) for part, (_, of_part) in rules.items()}
    in_order = sorted(rules, key=lambda p: (p not in asked, _rank(verdicts[p]), rules[p][0].label))
    shown = in_order[:ANSWERED_AT_MOST]
    # A part type may have hundreds that do not fit: about those the verdict is all that matters.
    told = [p for p in shown if question.number or _rank(verdicts[p]) < ORDER["does not fit"]]
    offers, groups = offers_on(told, day), alike(told)
    of_parts, of_types = specs_of(
        told, question.family.code if question.family else None, {rules[p][0].part_type for p in told}
    )
    listed = listed_for(told) if question.family is None else {}
    answers = [
        Answer(
            part=rules[part][0],
            verdict=verdicts[part],
            listed_for=listed.get(part, ()),
            ways=successors.of(part),
            alike=groups.get(part, ()),
            specs=of_parts.get(part, ()),
            offers=priced(offers.get(part, ()), question.quantity),
            asked=part in asked,
        )
        for part in shown
    ]
    if not question.number:
        answers.sort(key=lambda answer: (_rank(answer.verdict), _cheapest(answer)))
    fitted = {cards[0].part_type: cards for cards in of_types.values()}
    return Reply(tuple(answers), (), len(in_order) - len(shown), fitted)


def _listed(question: Question) -> dict[int, tuple[PartCard, Sequence[Rule]]]:
    """By part, every part of the type that some rule of the family speaks of, with those rules."""
    if question.family is None:
        return {}
    found = candidates(question.family.code, [question.part_type])[question.part_type]
    return {candidate.part.id: (candidate.part, candidate.rules) for candidate in found}


def _of_numbered(
    question: Question, successors: Successors, asked: Collection[int]
) -> dict[int, tuple[PartCard, Sequence[Rule]]]:
    """By part, the asked ones and what serves for them today, each with the rules of the family."""
    wanted = set(asked) | successors.ends(asked)
    code = question.family.code if question.family else ""
    rules = rules_of_parts(wanted, [code]) if code else {}
    return {part: (successors.cards[part], rules.get((part, code), ())) for part in wanted}


def _judge(question: Question, rules: Sequence[Rule]) -> Verdict | None:
    family, facts, position = question.family, question.facts, question.position
    if family is None or facts is None:
        return None
    return judge(
        rules,
        facts,
        family.scheme,
        position=position.code if position else None,
        scope=position.scope if position else None,
        option_names=family.option_names,
        bank_of=family.bank_of,
    )


def _rank(verdict: Verdict | None) -> int:
    return ORDER[verdict.outcome] if verdict else 0


def _cheapest(answer: Answer) -> tuple[bool, Decimal, str]:
    """Parts nobody offers come last; amounts of two currencies are not compared beyond their figures."""
    cheapest = answer.offers[0].cost if answer.offers else Decimal(0)
    return not answer.offers, cheapest, answer.part.label
