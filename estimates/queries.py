"""Reads of jobs and of the shop's terms: rows into rules values, each in a constant number of statements."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from typing import Any, Literal, cast

from catalog.alike import with_alike
from catalog.cards import FamilyCard, PositionCard
from catalog.queries import candidates, every_offer_on, on_the_shelf, part_cards, replacements_from
from catalog.rules.interval import DateInterval
from catalog.rules.replacement import current
from catalog.service_queries import stated
from estimates.models import (
    Discount,
    DraftChoice,
    Finding,
    HandLine,
    Job,
    JobFactor,
    Payment,
    Reading,
    UnitOption,
)
from estimates.rules.byhand import DiscountIn, HandCategory, HandIn, PaymentIn
from estimates.rules.choice import Bundle, Market
from estimates.rules.entry import shown_reading
from estimates.rules.intake import CustomerIn, FactorIn, JobIn, JudgedIn, ReadingIn, UnitIn
from estimates.rules.plan import FoundStanding, Group
from estimates.rules.reading import Measured
from estimates.rules.sourcing.plans import PlanName
from estimates.rules.sourcing.within import Grade, Wishes
from estimates.rules.terms import Terms
from shop.models import Fee, LineTax, MarkupBand, TaxRate, Workshop
from shop.rules.errors import Refused
from shop.rules.markup import MarkupBand as Band
from shop.rules.tax import TaxRate as Rate


def the_workshop() -> Workshop:
    """The one row of the workshop. Refused while it is not set up."""
    workshop = Workshop.objects.filter(pk=1).first()
    if workshop is None:
        raise Refused.single(
            "workshop",
            "it is not set up yet",
            "run 'manage.py demo', or enter name, currency and labour rate",
        )
    return workshop


def terms_of(workshop: Workshop) -> Terms:
    """How the shop prices. Four statements."""
    rates = {
        rate.code: Rate(rate.code, rate.name, rate.percent.normalize(), rate.category)
        for rate in TaxRate.objects.all()
    }
    taxes: dict[str, tuple[str, ...]] = {}
    for category, code in LineTax.objects.order_by("rate__code").values_list("category", "rate__code"):
        taxes[category] = (*taxes.get(category, ()), code)
    bands = tuple(Band(*row) for row in MarkupBand.objects.values_list("cost_from", "percent"))
    fees = tuple(Fee.objects.filter(active=True).values_list("code", "name", "amount"))
    return Terms(
        currency=workshop.currency,
        labour_rate=workshop.labour_rate,
        increment=workshop.billing_increment,
        bands=bands,
        markup_mode="stepped" if workshop.markup_mode == "stepped" else "continuous",
        rates=rates,
        taxes=taxes,
        supplies_percent=workshop.supplies_percent,
        supplies_cap=workshop.supplies_cap,
        fees=fees,
    )


def wishes_of(workshop: Workshop, job: JobIn, today: date) -> Wishes:
    """How this job's parts are to be bought."""
    return Wishes(
        today=today,
        needed_by=job.needed_by,
        grade=cast(Grade, workshop.parts_grade),
        original_premium=workshop.original_premium,
        preferred_premium=workshop.preferred_premium,
        plan=cast(PlanName, job.sourcing_plan or workshop.sourcing_plan),
    )


def market_for(family: str, part_types: Collection[str], today: date) -> Market:
    """Everything the catalogue says about these part types for this family on this day."""
    found = with_alike(candidates(family, sorted(part_types)), family)
    parts = {c.part.id: c.part for cards in found.values() for c in cards}
    chains = replacements_from(parts)
    successors: dict[int, tuple[Bundle, ...]] = {}
    touched = {int(part) for rule in chains for part in (rule.old, rule.new)}
    for part_id in parts.keys() & touched:
        bundles = [
            tuple(sorted((int(part), quantity) for part, quantity in chain.parts))
            for chain in current(str(part_id), chains, today)
        ]
        successors[part_id] = tuple(bundle for bundle in bundles if bundle)
    new = {part_id for bundles in successors.values() for bundle in bundles for part_id, _ in bundle}
    parts |= part_cards(new - parts.keys()) if new - parts.keys() else {}
    return Market(
        found, every_offer_on(parts.keys(), today), parts, successors, on_the_shelf(parts.keys(), today)
    )


def job_in(job: Job, family: FamilyCard) -> JobIn:
    """A job as the rules take it; select `unit__customer` and `unit__family` with it. Eight statements."""
    positions = {position.code: position for position in family.positions}
    return JobIn(
        number=job.number,
        opened_on=job.opened_on,
        complaint=job.complaint,
        customer=CustomerIn(
            job.unit.customer.name,
            job.unit.customer.number,
            job.unit.customer.address,
            job.unit.customer.email,
            job.unit.customer.phone,
        ),
        unit=_unit_in(job),
        readings=_readings_in(job, positions),
        judged=_judged_in(job, positions),
        needed_by=job.needed_by,
        sourcing_plan=job.sourcing_plan,
        included=frozenset(DraftChoice.objects.filter(job=job, included=True).values_list("item", flat=True)),
        factors=_factors_in(job, positions),
        hand_lines=_hand_lines_in(job),
        discounts=_discounts_in(job),
        payments=_payments_in(job),
    )


def _unit_in(job: Job) -> UnitIn:
    unit = job.unit
    return UnitIn(
        name=unit.name,
        family=unit.family.code,
        built=DateInterval(unit.built_from, unit.built_until),
        serial=unit.serial,
        options=dict(UnitOption.objects.filter(unit=unit).values_list("option__code", "value")),
        road_use=unit.road_use,
        registration=unit.registration,
        vin=unit.vin,
    )


def _readings_in(job: Job, positions: dict[str, PositionCard]) -> tuple[ReadingIn, ...]:
    rows = Reading.objects.filter(job=job).order_by("pk").values(
        "test_point__code", "position__code", "phase", "kind", "value", "places", "temperature", "zero",
        "accuracy_percent", "accuracy_counts", "resolution", "test_point__unit",
    )  # fmt: skip
    return tuple(_reading_in(dict(row), positions) for row in rows)


def _reading_in(row: dict[str, Any], positions: dict[str, PositionCard]) -> ReadingIn:
    value = stated(row["value"], row["places"])
    measured = Measured(
        kind=row["kind"],
        value=value,
        zero=_plain(row["zero"]),
        accuracy_percent=_plain(row["accuracy_percent"]),
        accuracy_counts=row["accuracy_counts"],
        resolution=_plain(row["resolution"]),
        temperature=row["temperature"],
    )
    phase: Literal["before", "after"] = "after" if row["phase"] == "after" else "before"
    return ReadingIn(
        row["test_point__code"],
        positions[row["position__code"]],
        measured,
        shown_reading(measured, row["test_point__unit"]),
        phase,
    )


def _factors_in(job: Job, positions: dict[str, PositionCard]) -> tuple[FactorIn, ...]:
    found = JobFactor.objects.filter(job=job).values_list("step__code", "position__code", "factor", "reason")
    # Databases differ on where to put what has no position.
    rows = sorted(found, key=lambda row: (row[0], row[1] or ""))
    return tuple(
        FactorIn(step, positions[place] if place else None, _plain(by), reason)
        for step, place, by, reason in rows
    )


def _hand_lines_in(job: Job) -> tuple[HandIn, ...]:
    return tuple(
        HandIn(
            row.key,
            cast(Group, row.group),
            cast(HandCategory, row.category),
            row.text,
            row.reason,
            _plain(row.quantity),
            _plain(row.unit_price),
            None if row.unit_cost is None else _plain(row.unit_cost),
        )
        for row in HandLine.objects.filter(job=job).order_by("pk")
    )


def _discounts_in(job: Job) -> tuple[DiscountIn, ...]:
    rows = Discount.objects.filter(job=job).values_list("item", "percent", "amount", "reason")
    return tuple(
        DiscountIn(
            item,
            None if percent is None else _plain(percent),
            None if amount is None else _plain(amount),
            why,
        )
        for item, percent, amount, why in rows
    )


def _payments_in(job: Job) -> tuple[PaymentIn, ...]:
    rows = Payment.objects.filter(job=job).values_list("amount", "received_on", "how", "note")
    return tuple(PaymentIn(_plain(amount), day, how, note) for amount, day, how, note in rows)


def _plain(value: Decimal) -> Decimal:
    """Without the padding zeros of the column, so that 0.200000 is printed 0.2; never in exponent form."""
    stripped = value.normalize()
    exponent = stripped.as_tuple().exponent
    return stripped.quantize(Decimal(1)) if isinstance(exponent, int) and exponent > 0 else stripped


def _judged_in(job: Job, positions: dict[str, PositionCard]) -> tuple[JudgedIn, ...]:
    rows = Finding.objects.filter(job=job).order_by("pk").values_list(
        "component__code", "position__code", "standing", "quantity", "reason"
    )  # fmt: skip
    return tuple(
        JudgedIn(component, positions[position], cast(FoundStanding, standing), quantity, reason)
        for component, position, standing, quantity, reason in rows
    )
