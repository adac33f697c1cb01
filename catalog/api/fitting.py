"""POST fitting-parts/: which parts of a type fit this engine, each with its cheapest offer on the day.

It is asked all day, and so the answer is written by hand: the rows go straight into JSON. A test holds it
against the documented shape.
"""

import json
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from catalog.api.fitment_body import Check, of_one, read_question
from catalog.api.fitting_schema import FittingAnswerSerializer, FittingQuestionSerializer
from catalog.cards import PartCard
from catalog.hot.cheapest import Cheapest
from catalog.hot.families import family_card
from catalog.hot.fits import Fitting, FittingParts, Undecided, fitting
from catalog.models import PartType
from catalog.rules.fitment import UnitFacts
from catalog.rules.verdict import sentence
from shop.api.fields import money_text
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.rules.errors import Refused


class FittingPartsView(Api):
    """Finds the parts of one type that fit an engine. Nothing is stored."""

    only_answers = only_reads = True

    @extend_schema(
        request=FittingQuestionSerializer, responses=FittingAnswerSerializer, operation_id="fitting_parts"
    )
    def post(self, request: Request) -> HttpResponse:
        check_parameters(request, set())
        question, day = read_question(request.data)
        day = day or timezone.localdate()
        found = json.dumps(body(question, day, answer(question, day)), ensure_ascii=False)
        return HttpResponse(found, content_type="application/json")


def answer(question: Check, day: date) -> FittingParts:
    """Raises Refused where the catalogue does not know what the question names."""
    family = family_card(question.family)
    families = {family.code: family} if family else {}
    faults = list(question.unknown(families, (), {question.part_type}))
    if faults or family is None:
        raise Refused(of_one(faults))
    facts = UnitFacts(family.code, question.built, question.serial or None, question.options)
    position = family.position(question.position) if question.position else None
    found = fitting(family, question.part_type, facts, day, question.quantity or 1, position)
    if not found.fitting and not found.undecided and not _is_type(question.part_type):
        raise Refused(of_one(question.unknown(families, (), ())))
    return found


def _is_type(code: str) -> bool:
    return PartType.objects.filter(code=code).exists()


def body(question: Check, day: date, found: FittingParts) -> dict[str, Any]:
    return {
        "family": question.family,
        "part_type": question.part_type,
        "on": day.isoformat(),
        "fitting": [_fitting(row) for row in found.fitting],
        "undecided": [_undecided(row) for row in found.undecided],
    }


def _part(card: PartCard) -> dict[str, str]:
    return {
        "brand": card.brand,
        "brand_name": card.brand_name,
        "number": card.number,
        "description": card.description,
        "grade": card.grade,
    }


def _fitting(row: Fitting) -> dict[str, Any]:
    return {
        "part": _part(row.part),
        "quantity": row.quantity,
        "by_interchange": row.alike,
        "offers": [_offer(offer) for offer in row.offers],
    }


def _offer(offer: Cheapest) -> dict[str, Any]:
    return {
        "supplier": offer.supplier,
        "supplier_name": offer.supplier_name,
        "currency": offer.currency,
        "pieces": offer.pieces,
        "each": amount(offer.each, offer.currency),
        "cost": amount(offer.cost, offer.currency),
        "deposit": amount(offer.deposit, offer.currency),
        "lead_days": offer.lead_days,
        "valid_until": offer.valid_until.isoformat() if offer.valid_until else None,
    }


def amount(value: Decimal, currency: str) -> str:
    """As shop.api.fields.money_text, which is exact for any amount: this is the short way for one of at most
    four decimals."""
    whole, rest = (text := f"{value:.4f}")[:-5], text[-4:].rstrip("0")
    rest = rest.ljust(_places(currency), "0")
    return f"{whole}.{rest}" if rest else whole


@lru_cache(maxsize=256)
def _places(currency: str) -> int:
    return len((money_text(Decimal(1), currency) or "").partition(".")[2])


def _undecided(row: Undecided) -> dict[str, Any]:
    verdict = row.verdict
    return {
        "part": _part(row.part),
        "sentence": sentence(verdict),
        "fits_if": verdict.fits_if,
        "by_interchange": list(verdict.by_interchange),
        "missing": [{"fact": missing.fact, "text": missing.text} for missing in verdict.missing],
    }
