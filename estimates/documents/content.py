"""What an estimate says, as plain JSON values: the one source of its page, its PDF and its frozen form.

Amounts and quantities are strings with all their decimals, minutes whole numbers, dates ISO 8601. Costs,
suppliers and likelihoods are the shop's own business and are not in here.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.rules.interval import day_text
from estimates.builder import Built
from estimates.rules.entry import expectation_of, symbol
from estimates.rules.judging import Judged
from estimates.rules.lines import Line
from estimates.rules.plan import Found, Note, SlowStep, places_in_words
from estimates.rules.pricing import PricedItem
from shop.rules.rounding import round_half_up
from shop.rules.totals import Adjustment, Totals

FORMAT = "tallybore-estimate/2"
ALWAYS = (
    "Local rules and the maker's manual come first. "
    "Work that the law keeps for a licensed person is done by one."
)
ZERO = Decimal(0)
Json = dict[str, Any]


def content(built: Built, *, number: str, revision: int, issued_on: date) -> Json:
    """The whole document. A draft uses the number it would be issued under."""
    job, shop, priced = built.job, built.workshop, built.priced
    return {
        "format": FORMAT,
        "number": number,
        "revision": revision,
        "issued_on": issued_on.isoformat(),
        "valid_until": built.valid_until.isoformat(),
        "currency": built.terms.currency,
        "demonstration": shop.demonstration,
        "prices_include_tax": shop.prices_include_tax,
        "workshop": {
            "name": shop.name,
            "address": shop.address,
            "phone": shop.phone,
            "email": shop.email,
            "tax_number": shop.tax_number,
            "terms": shop.terms,
        },
        "customer": {
            "name": job.customer.name,
            "number": job.customer.number,
            "address": job.customer.address,
            "email": job.customer.email,
            "phone": job.customer.phone,
        },
        "job": {"number": job.number, "opened_on": job.opened_on.isoformat(), "complaint": job.complaint},
        "unit": _unit(built),
        "readings": _readings(built),
        "findings": [finding_content(found) for found in built.assessment.findings],
        "contradictions": [one.reason for one in built.assessment.diagnosis.contradictions],
        "groups": {
            group: [_item(built, one) for one in priced.group(group)]
            for group in ("firm", "contingent", "optional")
        },
        "job_factors": [_slow_step(step) for step in built.plan.slow],
        "labour": {
            "minutes": priced.labour.minutes,
            "hours": str(priced.labour.hours),
            "increment": str(built.terms.increment.normalize()),
            "rate": _money(priced.labour.rate, built),
            "amount": _money(priced.labour.amount, built),
            "minutes_item_by_item": priced.labour.apart,
        },
        "allowances": [],
        "charges": [_charge(charge, built) for charge in priced.charges],
        "totals": {
            "firm": _totals(priced.firm),
            "ceiling": _totals(priced.ceiling),
            "options": _totals(priced.options),
        },
        "payments": [],
        "to_confirm": list(_to_confirm(priced.items)),
        "not_offered": [_note(note) for note in built.plan.refused],
        "open_points": [_note(note) for note in built.plan.unresolved],
        "cautions": _cautions(built),
    }


def _money(amount: Decimal, built: Built) -> str:
    """In the decimals of the currency; a rate finer than that keeps its own."""
    places = -int(built.priced.firm.with_tax.as_tuple().exponent)
    stripped = amount.normalize()
    exponent = stripped.as_tuple().exponent
    finer = -exponent if isinstance(exponent, int) else 0
    return str(round_half_up(amount, max(places, finer)))


def _unit(built: Built) -> Json:
    unit, family = built.job.unit, built.book.family
    return {
        "name": unit.name,
        "family": family.code,
        "family_name": family.name,
        "registration": unit.registration,
        "vin": unit.vin,
        "serial": unit.serial,
        "built": unit.built.text,
        "road_use": unit.road_use,
        "options": [
            {"name": family.option_names.get(code, code), "value": value}
            for code, value in sorted(unit.options.items())
        ],
    }


# Readings


def _readings(built: Built) -> list[Json]:
    together: dict[tuple[str, str], list[Judged]] = {}
    for one in built.assessment.readings:
        together.setdefault((one.reading.test_point, one.reading.phase), []).append(one)
    order = {position.code: number for number, position in enumerate(built.book.family.positions)}
    found = []
    for (code, phase), same in together.items():
        card = built.book.test_points[code]
        same.sort(key=lambda one: order[one.reading.place.code])
        found.append(
            {
                "test_point": code,
                "name": card.name,
                "phase": phase,
                "kind": card.kind,
                "unit": card.unit,
                "symbol": symbol(card.unit),
                "minimum": None if card.minimum is None else str(card.minimum),
                "maximum": None if card.maximum is None else str(card.maximum),
                "expected": f"lamp {card.lamp}" if card.kind == "lamp" else expectation_of(card).limits,
                "path": [built.book.components[component].name for component in card.path],
                "rows": [reading_content(one) for one in same],
            }
        )
    return found


def reading_content(one: Judged) -> Json:
    """A reading at one place with its judgement."""
    judgement, measured = one.judgement, one.reading.measured
    places = measured.places
    corrected = None if judgement.corrected is None else str(round_half_up(judgement.corrected, places))
    uncertainty = (
        None if judgement.uncertainty is None else str(round_half_up(judgement.uncertainty, places + 1))
    )
    return {
        "position": one.reading.place.code,
        "where": one.reading.place.label,
        "kind": measured.kind,
        "shown": one.reading.shown,
        "corrected": corrected,
        "uncertainty": uncertainty,
        "outcome": judgement.outcome,
        "reason": judgement.reason,
    }


def finding_content(found: Found) -> Json:
    """A finding with its reasons, and whether it was computed, made by a person, or both."""
    return {
        "component": found.component,
        "name": found.name,
        "position": found.position.code,
        "where": places_in_words((found.position,)),
        "standing": found.standing,
        "computed": found.computed,
        "by_person": found.by_person,
        "quantity": found.quantity,
        "reasons": list(found.reasons),
    }


# Items and lines


def _item(built: Built, priced: PricedItem) -> Json:
    item = priced.item
    return {
        "key": item.key,
        "title": item.title,
        "where": places_in_words(item.places),
        "why": list(item.why),
        "description": item.description,
        "origin": item.origin,
        "done": item.done,
        "by_hand": False,
        "minutes": priced.minutes,
        "gross": _money(priced.net, built),
        "discount": None,
        "net": _money(priced.net, built),
        "with_tax": None,
        "adds": None if priced.adds is None else _money(priced.adds, built),
        "later": None if priced.later is None else _money(priced.later, built),
        "later_minutes": priced.later_minutes,
        "lines": [_line(line, built) for line in priced.lines],
    }


def _line(line: Line, built: Built) -> Json:
    part = line.piece.part if line.piece is not None and not line.to_confirm else None
    return {
        "key": line.key,
        "kind": line.kind,
        "category": line.category,
        "text": line.text,
        "part": part and {"brand": part.brand_name, "number": part.number, "grade": part.grade},
        "quantity": str(line.quantity),
        "unit_price": _money(line.unit_price, built),
        "allowance": _money(ZERO, built),
        "net": _money(line.net, built),
        "with_tax": None,
        "minutes": line.minutes,
        "to_confirm": line.to_confirm,
        "note": line.note,
        "tax": [built.terms.rates[key].name for key in built.terms.tax_keys(line.category)],
    }


def _charge(charge: Adjustment, built: Built) -> Json:
    return {
        "key": charge.key,
        "reason": charge.reason,
        "amount": _money(charge.amount, built),
        "with_tax": None,
        "tax": [built.terms.rates[key].name for key in charge.tax_keys],
    }


def _totals(totals: Totals) -> Json:
    return {
        "lines": str(totals.line_sum),
        "allowances": str(totals.allowance_sum),
        "charges": str(totals.charge_sum),
        "without_tax": str(totals.without_tax),
        "tax": [
            {
                "name": part.rate.name,
                "percent": f"{part.rate.percent.normalize():f}",
                "taxable": str(part.taxable),
                "amount": str(part.amount),
            }
            for part in totals.tax
        ],
        "tax_sum": str(totals.tax_sum),
        "with_tax": str(totals.with_tax),
        "prepaid": str(totals.prepaid),
        "due": str(totals.due),
    }


def _slow_step(step: SlowStep) -> Json:
    return {
        "step": step.step,
        "name": step.name,
        "where": places_in_words((step.place,)),
        "factor": f"{step.by.normalize():f}",
        "minutes": step.minutes,
        "usual_minutes": step.usual,
        "reason": step.reason,
    }


# Notes


def _to_confirm(items: Iterable[PricedItem]) -> Sequence[str]:
    """Each missing fact once."""
    return tuple(dict.fromkeys(line.to_confirm for one in items for line in one.lines if line.to_confirm))


def _note(note: Note) -> Json:
    return {"what": note.what, "why": note.why}


def _cautions(built: Built) -> list[str]:
    """Of every operation, test and step that may be touched, once each, then the one that always holds."""
    codes: dict[str, None] = {}
    for item in built.plan.items:
        for task in item.tasks:
            codes.update(dict.fromkeys(task.cautions))
    for step in built.plan.steps.values():
        codes.update(dict.fromkeys(step.cautions))
    return [*(built.book.cautions[code] for code in codes), ALWAYS]


def in_words(day: str) -> str:
    """An ISO day for people: 3 June 2014."""
    return day_text(date.fromisoformat(day))
