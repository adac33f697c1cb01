"""What to test next on a job, as plain JSON values: page and API say the same.

For the people of the shop only: chances and likelihoods are never printed for a customer.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook
from estimates.builder import planned
from estimates.rules.diagnosis import ComponentAt
from estimates.rules.factors import slowed
from estimates.rules.intake import JobIn
from estimates.rules.judging import Assessment
from estimates.rules.next_test import Advice, NextTest, next_tests
from estimates.rules.next_test_settles import Quoted, Settles
from estimates.rules.plan import Item, Plan, places_in_words
from estimates.rules.tasks import Tasks
from estimates.rules.terms import Terms
from estimates.rules.workload import Workload, added, newly_opened, workload
from shop.api.fields import decimal_text
from shop.rules.rounding import round_half_up

Json = dict[str, Any]
ASSUMED = (
    "a test is bad if a component in its path is at fault, and good if none is",
    "no component is at fault that is not needed to account for a bad reading",
    "a component fails as often, beside the others, as its relative likelihood on record says",
)
FIRST = "nothing was read bad yet, so the complaint is taken to be one fault"
SHORT = "only the likeliest ways to account for the readings are weighed: there are more of them"


@dataclass(frozen=True)
class Advised:
    """The advice with what a test would add to the firm work as it stands."""

    job: JobIn
    book: ServiceBook
    advice: Advice
    plan: Plan
    terms: Terms
    firm: Workload

    def adds(self, test: NextTest) -> tuple[int, Decimal]:
        """Minutes and labour price, without tax, by which the test makes the firm work longer and dearer.

        Access that the firm work opens in any case is in neither; hours are rounded once, on the total.
        """
        tasks = Tasks(self.book)
        task = tasks.test(test.card, test.place)
        steps = {**slowed(tasks.steps, self.job.factors)[0], **self.plan.steps}
        minutes = added(Item("test", "firm", "", (), (task,)), self.firm, steps).minutes
        with_it, without = (self.terms.labour_price(self.firm.minutes + more)[1] for more in (minutes, 0))
        return minutes, with_it - without

    def shared(self, test: NextTest) -> int:
        """Minutes of the access it opens that the repair then due needs too, whichever way it comes out."""
        both = frozenset(step.key for step in test.opens)
        for outcome in (test.good, test.bad):
            tasks = Tasks(self.book)
            due = [
                tasks.operation(operation, repair.place)
                for repair in outcome.firm
                if (operation := self.book.operations.get(repair.code))
            ]
            needed = (step.key for task in due for step in newly_opened(task, {}, tasks.steps))
            both = both.intersection(needed)
        return sum(step.minutes for step in test.opens if step.key in both)


def advised(
    job: JobIn, book: ServiceBook, assessment: Assessment, terms: Terms, plan: Plan | None = None
) -> Advised:
    """What to test next. `plan` may be handed in where the estimate was built already."""
    plan = plan or planned(job, book, assessment)
    advice = next_tests(book, assessment, job.judged, job.factors)
    return Advised(job, book, advice, plan, terms, workload(plan.group("firm"), plan.steps))


def advice_content(found: Advised) -> Json:
    """Chances are fractions of 1, entropies bits, prices labour without tax."""
    advice = found.advice
    return {
        "verdict": advice.verdict,
        "reason": advice.reason,
        "assumptions": [
            *ASSUMED,
            *([FIRST] if advice.by_complaint else []),
            *([SHORT] if advice.cut_short else []),
        ],
        "currency": found.terms.currency,
        "bits": _figure(advice.bits, 2),
        "tests": [_test(test, found) for test in advice.tests],
        "suspects": [
            {
                "component": suspect.at.component,
                "name": suspect.name,
                "position": suspect.at.position,
                "where": _where(suspect.place),
                "chance": _figure(suspect.chance, 4),
                "likelihood": decimal_text(suspect.likelihood, 0),
            }
            for suspect in advice.suspects
        ],
        "measure_again": list(advice.again),
    }


def _test(test: NextTest, found: Advised) -> Json:
    minutes, price = found.adds(test)
    return {
        "test_point": test.card.code,
        "name": test.card.name,
        "position": test.place.code,
        "where": _where(test.place),
        "also_at": [place.code for place in test.also_at],
        "instruction": test.card.instruction,
        "minutes": test.minutes,
        "opens": [
            {
                "step": step.key.partition("@")[0],
                "name": step.name,
                "where": _where(step.place),
                "minutes": step.minutes,
            }
            for step in test.opens
        ],
        "uses": [
            {
                "part_type": need.part_type,
                "name": need.type_name,
                "quantity": need.quantity,
                "position": need.place.code,
                "where": _where(need.place),
            }
            for need in test.uses
        ],
        "adds_minutes": minutes,
        "shared_minutes": found.shared(test),
        "price": str(price),
        "bits": _figure(test.bits, 2),
        "bits_per_minute": _figure(test.per_minute, 4),
        "good": _settles(test.good),
        "bad": _settles(test.bad),
        "cautions": [found.book.cautions[code] for code in test.card.cautions],
    }


def _settles(outcome: Settles) -> Json:
    return {
        "chance": _figure(outcome.chance, 4),
        "settles": outcome.text,
        "confirmed": _components(outcome.confirmed),
        "sound": _components(outcome.sound),
        "not_needed": _components(outcome.not_needed),
        "suspected": _components(outcome.left),
        "firm": _repairs(outcome.firm),
        "dropped": _repairs(outcome.dropped),
        "added": _repairs(outcome.added),
    }


def _components(found: Iterable[ComponentAt]) -> list[Json]:
    return [{"component": at.component, "position": at.position} for at in found]


def _repairs(found: Iterable[Quoted]) -> list[Json]:
    return [
        {"operation": one.code, "title": one.title, "position": one.place.code, "where": _where(one.place)}
        for one in found
    ]


def _where(place: PositionCard) -> str:
    return places_in_words((place,))


def _figure(value: Decimal | Fraction, places: int) -> str:
    return str(round_half_up(value, places))


def in_lines(content: Json) -> list[str]:
    """The advice in a few lines of text: each test with its minutes and price, then what it settles."""
    if not content["tests"]:
        return [f"{content['verdict'][:1].upper()}{content['verdict'][1:]}: {content['reason']}."]
    lines = []
    for test in content["tests"]:
        where = f", {test['where']}" if test["where"] else ""
        price = f"{test['price']} {content['currency']}"
        lines.append(f"{test['name']}{where}: {test['minutes']} min, adds {price} of labour")
        lines += [
            f"  {outcome} {round_half_up(Decimal(test[outcome]['chance']) * 100, 0)} %: "
            f"{test[outcome]['settles']}"
            for outcome in ("good", "bad")
        ]
    return lines
