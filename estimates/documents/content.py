"""What an estimate says, as plain JSON values: the one source of its page, its PDF and its frozen form.

Amounts and quantities are strings with all their decimals, minutes whole numbers, dates ISO 8601. Costs,
suppliers and likelihoods are the shop's own business and are not in here.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from catalog.rules.interval import day_text
from estimates.builder import Built
from estimates.documents.amounts import Amounts, totals_content
from estimates.rules.entry import expectation_of, symbol
from estimates.rules.judging import Judged
from estimates.rules.plan import Found, Note, SlowStep, places_in_words
from estimates.rules.pricing import PricedItem
from shop.rules.rounding import round_half_up

FORMAT = "tallybore-estimate/2"
ALWAYS = (
    "Local rules and the maker's manual come first. "
    "Work that the law keeps for a licensed person is done by one."
)
Json = dict[str, Any]


def content(built: Built, *, number: str, revision: int, issued_on: date) -> Json:
    """The whole document. A draft uses the number it would be issued under."""
    job, shop, priced = built.job, built.workshop, built.priced
    amounts = Amounts(priced, with_tax=shop.prices_include_tax)
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
        "groups": amounts.groups(),
        "job_factors": [_slow_step(step) for step in built.plan.slow],
        "labour": {
            "minutes": priced.labour.minutes,
            "hours": str(priced.labour.hours),
            "increment": str(built.terms.increment.normalize()),
            "rate": amounts.money(priced.labour.rate),
            "amount": amounts.money(priced.labour.amount),
            "minutes_item_by_item": priced.labour.apart,
        },
        "allowances": amounts.allowances(),
        "charges": amounts.charges(),
        "totals": {
            "firm": totals_content(priced.firm),
            "ceiling": totals_content(priced.ceiling),
            "options": totals_content(priced.options),
        },
        "payments": amounts.payments(),
        "to_confirm": list(_to_confirm(priced.items)),
        "not_offered": [_note(note) for note in built.plan.refused],
        "open_points": [_note(note) for note in built.plan.unresolved],
        "cautions": _cautions(built),
    }


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


# Notes


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
