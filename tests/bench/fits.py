"""Which parts of a type fit this engine, with the cheapest offer of each: ours beside the statement."""

from datetime import date
from typing import Any

from bare import Bare
from fits_bare import FitsBare
from questions import DAY, Question, fitting_questions
from timing import Measured, in_turn
from trade import Trade


def ours(question: Question) -> Any:
    from catalog.hot.fits import fitting
    from catalog.rules.fitment import DateInterval, UnitFacts

    facts = UnitFacts(
        question.family, DateInterval.from_text(question.built), question.serial or None, question.options
    )
    return fitting(FAMILIES[question.family], question.part_type, facts, date.fromisoformat(DAY))


FAMILIES: dict[str, Any] = {}


def measure(trade: Trade, database: str, count: int) -> Measured:
    from catalog.queries import family_cards

    questions = list(fitting_questions(trade, count))
    FAMILIES.update(family_cards({question.family for question in questions}))
    bare = FitsBare(Bare(database, f"trade_{trade.size}"))
    for question in questions:
        same(question, ours(question), bare(question))
    return in_turn(questions, ours, bare)


def same(question: Question, answer: Any, told: tuple[dict[int, Any], set[int]]) -> None:
    """Both say the same; where facts are missing, ours may have decided what row by row stays open."""
    fits = {row.part.id: {offer.currency: offer.cost for offer in row.offers} for row in answer.fitting}
    undecided = {row.part.id for row in answer.undecided}
    bare, left_open = told
    assert bare or not question.whole or not fits
    if question.whole:
        assert fits == bare, (question, fits, bare)
        assert undecided == left_open == set(), question
    assert fits.keys() >= bare.keys(), question
    assert {part: fits[part] for part in bare} == bare, question
    assert fits.keys() | undecided <= bare.keys() | left_open, question


def through_the_api(trade: Trade, database: str, count: int) -> Measured:
    """The whole request, from bytes to bytes, beside the same statement by hand."""
    import json

    from sending import Client

    client, bare = Client(), FitsBare(Bare(database, f"trade_{trade.size}"))
    questions = [(question, _body(question)) for question in fitting_questions(trade, count)]

    def send(asked: Any) -> bytes:
        return client.post_bytes("fitting-parts/", asked[1])

    for question, sent in questions:
        told = {row["part"]["number"] for row in json.loads(send((question, sent)))["fitting"]}
        assert told == {row.part.number for row in ours(question).fitting}
    return in_turn(questions, send, lambda asked: bare(asked[0]))


def _body(question: Question) -> bytes:
    import json

    return json.dumps(
        {
            "part_type": question.part_type, "family": question.family, "built": question.built,
            "serial": question.serial, "options": question.options, "on": DAY,
        }
    ).encode()  # fmt: skip
