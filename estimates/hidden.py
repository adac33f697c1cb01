"""The expected total of a draft in plain values, for the writer alone (see estimates.rules.hidden)."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimates.builder import Built
from estimates.rules.hidden import ASSUMPTION, Chance, weigh
from estimates.rules.plan import places_in_words
from shop.rules.currency import minor_units
from shop.rules.rounding import round_half_up

Json = dict[str, Any]
NOTHING_HIDDEN = "Nothing in this estimate depends on what is found: the firm total is what it comes to."
IN_PIECES = "There are too many ways to price each whole, so access that items share may count twice."


def hidden_content(built: Built) -> Json:
    """Totals with tax as text, likelihoods in percent; `expected` is null where nothing may be hidden."""
    priced, sheet = built.priced, built.priced.sheet
    firm = sheet.firm()

    def total(keys: Sequence[str]) -> Decimal:
        return sheet.price([*firm, *keys]).with_tax

    hidden = weigh(built.plan, built.assessment.diagnosis, total)
    places = minor_units(built.terms.currency)
    return {
        "currency": built.terms.currency,
        "firm": str(priced.firm.with_tax),
        "expected": None if hidden is None else str(round_half_up(hidden.expected, places)),
        "ceiling": str(priced.ceiling.with_tax),
        "nothing_percent": None if hidden is None else _percent(hidden.nothing),
        "ways": 0 if hidden is None else hidden.ways,
        "exact": hidden is None or hidden.exact,
        "items": [] if hidden is None else [_item(one) for one in hidden.chances if one.chance],
        "notes": [NOTHING_HIDDEN] if hidden is None else [ASSUMPTION, *([] if hidden.exact else [IN_PIECES])],
    }


def _item(one: Chance) -> Json:
    item = one.item
    return {
        "key": item.key,
        "title": item.title,
        "where": places_in_words(item.places),
        "percent": _percent(one.chance),
        "weighed": one.weighed,
    }


def _percent(chance: Fraction) -> str:
    """To a tenth of a percent."""
    return str(round_half_up(chance * 100, 1))
