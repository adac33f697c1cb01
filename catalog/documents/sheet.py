"""What the spec sheet of an engine family says, as plain JSON values: the one source of its page, its PDF,
its CSV and its answer in the API."""

from itertools import groupby

from catalog.documents.words import CAUTION, DEMONSTRATION, Json, is_demonstration, stated
from catalog.models import EngineFamily
from catalog.spec_cards import SpecCard, spec_card, spec_rows

FORMAT = "tallybore-spec-sheet/1"


def sheet(code: str, *, also: bool = False) -> Json:
    """The sheet of the family with this code: its identity, and its values by part type as fitted to it.

    `also` adds the customary other unit beside each value. Raises EngineFamily.DoesNotExist. Three
    statements.
    """
    family = EngineFamily.objects.select_related("maker", "serial_scheme").get(code=code)
    rows = spec_rows().filter(family=family)
    cards = [
        spec_card(row)
        for row in rows.order_by("part_type__name", "part_type__code", "property__name", "condition", "pk")
    ]
    return {
        "format": FORMAT,
        "demonstration": DEMONSTRATION if is_demonstration() else "",
        "caution": CAUTION,
        "family": _identity(family),
        "part_types": [
            {"code": kind, "name": name, "values": [stated(card, also) for card in values]}
            for (kind, name), values in groupby(cards, lambda card: (card.type_code, card.part_type))
        ],
        "values": len(cards),
        "not_verified": sum(not card.verified for card in cards),
        "sources": _sources(cards),
    }


def _identity(family: EngineFamily) -> Json:
    scheme = family.serial_scheme
    return {
        "code": family.code,
        "name": family.name,
        "maker": family.maker.code,
        "maker_name": family.maker.name,
        "description": family.description,
        "layout": family.layout,
        "layout_words": family.get_layout_display(),
        "cylinders": family.cylinders,
        "voltage": f"{family.voltage.normalize():f}",
        "numbering": family.numbering,
        "numbering_words": family.get_numbering_display(),
        "serial_scheme": scheme
        and {"name": scheme.name, "prefixes": scheme.prefixes.split(), "digits": scheme.digits},
    }


def _sources(cards: list[SpecCard]) -> list[Json]:
    """Each source once, in the order of its title."""
    titles = {card.source_code: card.source for card in cards}
    return [
        {"code": code, "title": title}
        for code, title in sorted(titles.items(), key=lambda one: one[1].casefold())
    ]


def serial_in_words(identity: Json) -> str:
    """ "KA, KB or KC, then 5 digits"."""
    scheme = identity["serial_scheme"]
    if not scheme:
        return "not stated"
    *others, last = scheme["prefixes"] or ["no letters"]
    return f"{', '.join(others)}{' or ' if others else ''}{last}, then {scheme['digits']} digits"


def facts(document: Json) -> list[tuple[str, str]]:
    """The identity of the family as terms and words, for a page and for paper."""
    of = document["family"]
    return [
        ("Maker", of["maker_name"]),
        ("Code", of["code"]),
        ("Layout", f"{of['layout_words']}, {of['cylinders']} cylinders"),
        ("Voltage", f"{of['voltage']} V"),
        ("Cylinder numbering", of["numbering_words"]),
        ("Serial numbers", serial_in_words(of)),
    ]
