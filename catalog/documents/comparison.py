"""Up to four parts side by side, as plain JSON values: the one source of the page and of the API's answer."""

from collections.abc import Sequence

from catalog.documents.words import CAUTION, DEMONSTRATION, Json, is_demonstration, stated
from catalog.models import Part
from catalog.part_named import part_named, spelt
from catalog.rules.comparing import Stated, row_in_words
from catalog.spec_cards import SpecCard, spec_card, spec_rows
from shop.rules.errors import Fault, Refused

MOST = 4


def parts_to_compare(named: Sequence[str], where: str) -> list[Part]:
    """The parts of these names ("brand/number"), in their order; Refused with every fault, naming `where`.

    More than four, the same part twice, an unknown part (with the near ones) and a number of several brands
    are refused.
    """
    if len(named) > MOST:
        raise Refused.single(
            where, f"{len(named)} parts are too many to read side by side", f"compare at most {MOST} at once"
        )
    found: list[Part] = []
    faults: list[Fault] = []
    for text in named:
        try:
            part = part_named(text, where)
        except Refused as refused:
            faults += refused.faults
            continue
        if part in found:
            faults.append(Fault(where, f"{part} is given twice", "give each part once"))
        found.append(part)
    if faults:
        raise Refused(faults)
    return found


def comparison(parts: Sequence[Part], *, also: bool = False) -> Json:
    """Properties as rows, the parts as columns; what a part does not state is null in its column.

    A row is a property under one condition. `difference` says it in a word for the row, `against` for each
    value beside the first part that states it. Two statements.
    """
    cards: dict[tuple[str, str, str], dict[int, SpecCard]] = {}
    rows = spec_rows().filter(part__in=parts).order_by("property__name", "condition", "pk")
    for card, part_id in ((spec_card(row), row.part_id) for row in rows):
        assert part_id is not None
        cards.setdefault((card.code, card.words, card.temperature), {})[part_id] = card
    types = sorted({part.part_type.name for part in parts})
    return {
        "demonstration": DEMONSTRATION if is_demonstration() else "",
        "caution": CAUTION,
        "parts": [_part(part) for part in parts],
        "remark": f"These are parts of different types: {', '.join(types)}." if len(types) > 1 else "",
        "rows": [_row([of.get(part.pk) for part in parts], also) for of in cards.values()],
    }


def _part(part: Part) -> Json:
    return {
        "key": spelt(part),
        "brand": part.brand.code,
        "brand_name": part.brand.name,
        "number": part.number,
        "part_type": part.part_type.code,
        "part_type_name": part.part_type.name,
        "description": part.description,
        "grade": part.grade,
        "grade_words": part.get_grade_display(),
    }


def _row(cards: Sequence[SpecCard | None], also: bool) -> Json:
    first = next(card for card in cards if card is not None)
    difference, beside = row_in_words([None if card is None else _stated(card) for card in cards])
    return {
        "property": first.code,
        "name": first.name,
        "unit": first.unit,
        "condition": first.condition,
        "difference": difference,
        "values": [None if card is None else stated(card, also) for card in cards],
        "against": list(beside),
    }


def _stated(card: SpecCard) -> Stated:
    return Stated(*card.limits, card.text)
