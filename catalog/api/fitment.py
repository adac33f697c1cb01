"""POST fitment-checks/: does this part, or which part of this type, fit this engine; up to 1,000 at once.

The statements sent to the database do not grow with the batch: the rows for all of it are fetched together
and decided on in plain Python. The body is checked by hand for the same reason. Either every check is
answered or none is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.fitment_body import Check, read_checks
from catalog.api.fitment_schema import FitmentAnswerSerializer, FitmentQuestionSerializer
from catalog.cards import Candidate, FamilyCard, PartCard
from catalog.hot.alike import alike_with
from catalog.hot.families import without_positions
from catalog.models import PartType
from catalog.queries import candidates_of, family_cards, parts_by_number, rules_of
from catalog.rules.fitment import Rule, UnitFacts
from catalog.rules.interchange import judge_with_interchange, lends
from catalog.rules.verdict import sentence
from catalog.successors import Successors
from shop.api.filters import check_parameters
from shop.api.views import Api
from shop.rules.errors import Fault, Refused

MOST_VERDICTS = 10_000


class FitmentChecks(Api):
    """Asks whether parts fit engines. Nothing is stored."""

    only_answers = only_reads = True

    @extend_schema(
        request=FitmentQuestionSerializer, responses=FitmentAnswerSerializer, operation_id="fitment_checks"
    )
    def post(self, request: Request) -> Response:
        check_parameters(request, set())
        checks, day = read_checks(request.data)
        return Response({"results": answers(checks, day or timezone.localdate())})


def answers(checks: Sequence[Check], day: date) -> list[dict[str, Any]]:
    """One answer a check, in order. Raises Refused with every fault of the batch."""
    families = _families(checks)
    parts = parts_by_number({check.part_key for check in checks if check.part_key})
    asked_types = {check.part_type for check in checks if check.part_type}
    types = set(
        PartType.objects.filter(code__in=asked_types).values_list("code", flat=True) if asked_types else ()
    )
    faults = [fault for check in checks for fault in check.unknown(families, parts, types)]
    if faults:
        raise Refused(faults)
    listed = candidates_of({(check.family, check.part_type) for check in checks if check.part_type})
    _check_size(checks, listed)
    shelf = _shelf(checks, parts, listed)
    if barred := shelf.barred_at_a_bank():
        families |= family_cards(barred)
    follow = Successors(shelf.cards.keys(), day, shelf.cards)
    found = []
    for check in checks:
        family = families[check.family]
        about = (
            [parts[check.part_key].id]
            if check.part_key
            else shelf.listed.get((family.code, check.part_type), ())
        )
        verdicts = [_verdict(check, family, shelf, part, follow) for part in about]
        found.append({"index": check.index, "family": check.family, "verdicts": verdicts})
    return found


def _families(checks: Sequence[Check]) -> dict[str, FamilyCard]:
    """With the positions of those families alone at which a check names one. Two statements at most."""
    placed = {check.family for check in checks if check.position}
    families = without_positions({check.family for check in checks} - placed)
    return families | family_cards(placed) if placed else families


@dataclass
class Shelf:
    """Everything a batch is answered from: the parts by id, their rules by (part, family), the other parts
    that serve alike with them, and the parts of each (family, part type) in the order of the answer."""

    cards: dict[int, PartCard]
    rules: dict[tuple[int, str], tuple[Rule, ...]]
    alike: Mapping[int, tuple[PartCard, ...]]
    listed: dict[tuple[str, str], list[int]] = field(default_factory=dict)

    def lenders(self, part: int, family: str) -> dict[str, tuple[Rule, ...]]:
        if part not in self.alike or lends(self.rules.get((part, family), ()), family):
            return {}
        return {other.label: self.rules.get((other.id, family), ()) for other in self.alike[part]}

    def barred_at_a_bank(self) -> set[str]:
        """The families with an exclusion for one bank: which cylinders are on it has to be known there."""
        return {
            rule.family
            for rules in self.rules.values()
            for rule in rules
            if rule.position and rule.scope == "bank" and rule.polarity != "applies"
        }


def _shelf(
    checks: Sequence[Check],
    parts: Mapping[tuple[str, str], PartCard],
    listed: Mapping[tuple[str, str], tuple[Candidate, ...]],
) -> Shelf:
    """Two statements, however many checks there are."""
    cards = {card.id: card for card in parts.values()}
    rules: dict[tuple[int, str], tuple[Rule, ...]] = {}
    for (family, _), of_pair in listed.items():
        for candidate in of_pair:
            cards[candidate.part.id] = candidate.part
            rules[candidate.part.id, family] = candidate.rules
    alike = alike_with(cards.keys())
    pairs = {(parts[check.part_key].id, check.family) for check in checks if check.part_key}
    wanted = pairs | {
        (other.id, family) for part, family in (*pairs, *rules) for other in alike.get(part, ())
    }
    others = {other.id: other for of_part in alike.values() for other in of_part}
    rules |= rules_of(wanted - rules.keys(), {**others, **cards})
    shelf = Shelf(cards, rules, alike)
    for pair, of_pair in listed.items():
        members = {candidate.part.id: candidate.part for candidate in of_pair}
        members |= {other.id: other for part in tuple(members) for other in alike.get(part, ())}
        cards |= members
        # Brand by brand, and within a brand as its numbers run.
        shelf.listed[pair] = [card.id for card in sorted(members.values(), key=lambda c: (c.brand, c.number))]
    return shelf


def _verdict(check: Check, family: FamilyCard, shelf: Shelf, part: int, follow: Successors) -> dict[str, Any]:
    card = shelf.cards[part]
    position = family.position(check.position) if check.position else None
    verdict = judge_with_interchange(
        shelf.rules.get((part, family.code), ()),
        shelf.lenders(part, family.code),
        UnitFacts(family.code, check.built, check.serial or None, check.options),
        family.scheme,
        position=position.code if position else None,
        scope=position.scope if position else None,
        option_names=family.option_names,
        bank_of=family.bank_of,
    )
    both = check.quantity is not None and verdict.quantity is not None
    return {
        "part": {"brand": card.brand, "number": card.number, "part_type": card.part_type},
        "verdict": verdict.outcome,
        "sentence": sentence(verdict),
        "reasons": [reason.text for reason in verdict.reasons],
        "missing": [{"fact": missing.fact, "text": missing.text} for missing in verdict.missing],
        "fits_if": verdict.fits_if,
        "by_interchange": list(verdict.by_interchange),
        "quantity": verdict.quantity,
        "quantity_agrees": check.quantity == verdict.quantity if both else None,
        "replaced_by": [
            [{"brand": new.brand, "number": new.number, "quantity": count} for new, count in way]
            for way in follow.current_parts(part)
        ],
    }


def _check_size(checks: Sequence[Check], listed: Mapping[tuple[str, str], tuple[Candidate, ...]]) -> None:
    total = sum(
        1 if check.part_key else len(listed.get((check.family, check.part_type), ())) for check in checks
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
