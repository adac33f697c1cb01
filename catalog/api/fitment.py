"""POST fitment-checks/: does this part, or which part of this type, fit this engine; up to 1,000 at once.

The statements sent to the database do not grow with the batch: the rows for all of it are fetched together
and decided on in plain Python. The body is checked by hand for the same reason. Either every check is
answered or none is.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.fitment_body import Check, read_checks
from catalog.api.fitment_schema import FitmentAnswerSerializer, FitmentQuestionSerializer
from catalog.api.fitment_successors import Successors
from catalog.cards import FamilyCard, PartCard
from catalog.models import Application, Part, PartType
from catalog.queries import family_cards, part_card, part_cards, rules_of_parts
from catalog.rules.fitment import Rule, UnitFacts, judge, sentence
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.rules.errors import Fault, Refused

MOST_VERDICTS = 10_000


class FitmentChecks(Api):
    """Asks whether parts fit engines. Nothing is stored."""

    only_answers = True

    @extend_schema(
        request=FitmentQuestionSerializer, responses=FitmentAnswerSerializer, operation_id="fitment_checks"
    )
    def post(self, request: Request) -> Response:
        check_parameters(request, set())
        checks, day = read_checks(request.data)
        return Response({"results": answers(checks, day or timezone.localdate())})


def answers(checks: Sequence[Check], day: date) -> list[dict[str, Any]]:
    """One answer a check, in order. Raises Refused with every fault of the batch."""
    families = family_cards({check.family for check in checks})
    parts = _parts({check.part_key for check in checks if check.part_key})
    types = set(
        PartType.objects.filter(code__in={c.part_type for c in checks if c.part_type}).values_list(
            "code", flat=True
        )
    )
    faults = [fault for check in checks for fault in check.unknown(families, parts, types)]
    if faults:
        raise Refused(faults)
    asked = _of_types(checks)
    cards = {card.id: card for card in parts.values()}
    cards |= part_cards({part for ids in asked.values() for part in ids} - cards.keys())
    rules = rules_of_parts(cards.keys(), families.keys())
    _check_size(checks, asked)
    follow = Successors(cards, day)
    found = []
    for check in checks:
        ids = [parts[check.part_key].id] if check.part_key else asked.get((check.family, check.part_type), ())
        verdicts = [
            _verdict(check, families[check.family], cards[part], rules.get((part, check.family), ()), follow)
            for part in ids
        ]
        found.append({"index": check.index, "family": check.family, "verdicts": verdicts})
    return found


def _verdict(
    check: Check, family: FamilyCard, part: PartCard, rules: Sequence[Rule], follow: Successors
) -> dict[str, Any]:
    position = family.position(check.position) if check.position else None
    verdict = judge(
        rules,
        UnitFacts(family.code, check.built, check.serial or None, check.options),
        family.scheme,
        position=position.code if position else None,
        scope=position.scope if position else None,
        option_names=family.option_names,
        bank_of=family.bank_of,
    )
    both = check.quantity is not None and verdict.quantity is not None
    return {
        "part": {"brand": part.brand, "number": part.number, "part_type": part.part_type},
        "verdict": verdict.outcome,
        "sentence": sentence(verdict),
        "reasons": [reason.text for reason in verdict.reasons],
        "missing": [{"fact": missing.fact, "text": missing.text} for missing in verdict.missing],
        "quantity": verdict.quantity,
        "quantity_agrees": check.quantity == verdict.quantity if both else None,
        "replaced_by": follow.of(part.id),
    }


def _parts(keys: set[tuple[str, str]]) -> dict[tuple[str, str], PartCard]:
    """Parts by (brand code, normalised number). One statement."""
    rows = Part.objects.filter(
        brand__code__in={brand for brand, _ in keys}, normalised__in={number for _, number in keys}
    ).select_related("brand", "part_type")
    return {(row.brand.code, row.normalised): part_card(row) for row in rows}


def _of_types(checks: Iterable[Check]) -> dict[tuple[str, str], list[int]]:
    """By family and part type asked about, the parts that any rule speaks of. One statement."""
    pairs = {(check.family, check.part_type) for check in checks if check.part_type}
    rows = (
        Application.objects.filter(
            family__code__in={family for family, _ in pairs}, part_type__code__in={kind for _, kind in pairs}
        )
        .order_by("part__brand__code", "part__normalised")
        .values_list("family__code", "part_type__code", "part_id")
        .distinct()
    )
    found: dict[tuple[str, str], list[int]] = {}
    for family, kind, part in rows:
        if (family, kind) in pairs:
            found.setdefault((family, kind), []).append(part)
    return found


def _check_size(checks: Sequence[Check], asked: dict[tuple[str, str], list[int]]) -> None:
    total = sum(
        1 if check.part_key else len(asked.get((check.family, check.part_type), ())) for check in checks
    )
    if total > MOST_VERDICTS:
        raise Refused(
            [
                Fault(
                    "checks",
                    f"{total} parts would have to be judged at once",
                    f"send fewer checks: at most {MOST_VERDICTS} parts a request",
                )
            ]
        )
