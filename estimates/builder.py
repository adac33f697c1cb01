"""The main job in one call: from what a job brings in to a priced estimate.

Reads come first and in a constant number of statements, then everything is decided in plain Python; nothing
is written.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from catalog.queries import family_card
from catalog.rules.fitment import UnitFacts
from catalog.service_cards import ServiceBook
from catalog.service_queries import service_book
from estimates.models import Job
from estimates.queries import job_in, market_for, terms_of, the_workshop, wishes_of
from estimates.rules.byhand import Adjustments, with_hand_lines
from estimates.rules.derive import TestDone, derive
from estimates.rules.freight import freight_of
from estimates.rules.intake import JobIn
from estimates.rules.judging import Assessment, assess
from estimates.rules.plan import Plan
from estimates.rules.pricing import Priced, price
from estimates.rules.sourcing.within import Wishes
from estimates.rules.supply import Supplied, Supply, supplied
from estimates.rules.terms import Terms
from estimates.rules.workload import NeedKey, workload
from shop.models import Workshop
from shop.rules.errors import Refused


@dataclass(frozen=True)
class Built:
    """An estimate before it is issued, with everything it was built from."""

    job: JobIn
    workshop: Workshop
    book: ServiceBook
    assessment: Assessment
    plan: Plan
    supplies: dict[NeedKey, Supply]
    bought: Supplied
    terms: Terms
    priced: Priced
    valid_until: date


def build_for(job: Job, today: date) -> Built:
    """The estimate of a job kept in the database, as its draft stands now."""
    book = book_of(job.unit.family.code)
    return build(job_in(job, book.family), today, book=book)


def book_of(family: str) -> ServiceBook:
    """The service data of a family by its code. Refused for an unknown one."""
    card = family_card(family)
    if card is None:
        raise Refused.single(
            "unit, family", f"no engine family '{family}'", "choose one that the catalogue holds"
        )
    return service_book(card)


def build(job: JobIn, today: date, *, book: ServiceBook | None = None) -> Built:
    """Findings, items, parts, offers, lines and totals for this job on this day.

    `book` may be handed in where it was read already. Refused where the family or the workshop is unknown.
    """
    workshop = the_workshop()
    terms = terms_of(workshop)
    book = book or book_of(job.unit.family)
    assessment = assess(book, job.readings, job.judged)
    plan = planned(job, book, assessment)
    bought = _supplies(plan, job, book, terms, wishes_of(workshop, job, today))
    supplies = bought.supplies
    passed_on = {}
    if workshop.freight_policy == Workshop.Freight.PASSED_ON:
        passed_on = freight_of(plan, supplies, bought.buying.purchase.freight_by_supplier)
    priced = price(plan, supplies, terms, Adjustments(job.discounts, job.payments, passed_on))
    return Built(
        job=job,
        workshop=workshop,
        book=book,
        assessment=assessment,
        plan=plan,
        supplies=supplies,
        bought=bought,
        terms=terms,
        priced=priced,
        valid_until=_valid_until(supplies, today + timedelta(days=workshop.validity_days)),
    )


def planned(job: JobIn, book: ServiceBook, assessment: Assessment) -> Plan:
    """What is to be done on this job, before parts and prices."""
    tests = [TestDone(r.test_point, r.place) for r in job.readings if r.phase == "before"]
    plan = derive(
        book,
        assessment.findings,
        tests,
        road_use=job.unit.road_use,
        included=job.included,
        factors=job.factors,
    )
    return with_hand_lines(plan, job.hand_lines, job.included)


def _supplies(plan: Plan, job: JobIn, book: ServiceBook, terms: Terms, wishes: Wishes) -> Supplied:
    types = {need.part_type for need in workload(plan.items, plan.steps).needs.values()}
    market = market_for(book.family.code, types, wishes.today)
    facts = UnitFacts(book.family.code, job.unit.built, job.unit.serial or None, job.unit.options)
    return supplied(plan, market, facts, book.family, terms, wishes)


def _valid_until(supplies: dict[NeedKey, Supply], latest: date) -> date:
    """The shop's own term, or the earliest end of an offer the price rests on, whichever is sooner."""
    pieces = [piece for supply in supplies.values() for piece in supply.pieces]
    ends = [one.source.offer.valid_until for piece in pieces for one in piece.taken]
    return min([latest, *(end for end in ends if end is not None)])
