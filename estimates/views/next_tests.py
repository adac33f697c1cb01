"""What to test next, on the page of a job."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from estimates.builder import Built
from estimates.next_tests import Advised, advice_content, advised
from estimates.rules.next_test import NextTest, Suspect
from estimates.rules.next_test_settles import Quoted, Settles
from estimates.rules.plan import places_in_words
from shop.rules.currency import format_money
from shop.rules.rounding import round_half_up

Json = dict[str, Any]
MOST_SUSPECTS = 12
HEADINGS = {
    "enough": "Enough is known.",
    "no test left": "No test is left that would help.",
    "measure again": "Measure again first.",
}


def next_test_section(built: Built | None) -> Json:
    """Context of the section; no statement of its own."""
    if built is None:
        return {"next": None}
    found = advised(built.job, built.book, built.assessment, built.terms, built.plan)
    advice = found.advice
    shown = _together(advice.suspects)
    return {
        "next": {
            **advice_content(found),
            "heading": HEADINGS.get(advice.verdict, ""),
            "cards": [_card(test, found) for test in advice.tests],
            "open_bits": round_half_up(advice.bits, 2),
            "shown_suspects": shown[:MOST_SUSPECTS],
            "more_suspects": len(shown[MOST_SUSPECTS:]),
            "family": built.book.family.code,
        }
    }


def _card(test: NextTest, found: Advised) -> Json:
    minutes, price = found.adds(test)
    return {
        "code": test.card.code,
        "title": f"{test.card.name}{_at(places_in_words((test.place,)))}",
        "also_at": places_in_words(test.also_at),
        "minutes": test.minutes,
        "saved": test.minutes - minutes,
        "shared": found.shared(test),
        "price": format_money(price, found.terms.currency),
        "opens": [
            f"{step.name}{_at(places_in_words((step.place,)))}, {step.minutes} min" for step in test.opens
        ],
        "uses": [
            f"{need.quantity} x {need.type_name}{_at(places_in_words((need.place,)))}" for need in test.uses
        ],
        "bits": round_half_up(test.bits, 2),
        "per_hour": round_half_up(test.per_minute * 60, 1),
        "outcomes": [_outcome("good", test.good), _outcome("bad", test.bad)],
    }


def _outcome(word: str, settles: Settles) -> Json:
    return {
        "word": word,
        "percent": _percent(settles.chance),
        "text": settles.text,
        "firm": _titles(settles.firm),
        "dropped": _titles(settles.dropped),
        "added": _titles(settles.added),
    }


def _titles(quoted: Sequence[Quoted]) -> list[str]:
    """Repairs of one title together: "Replace glow plug, cylinders 1 and 2"."""
    places: dict[str, list[Quoted]] = {}
    for one in quoted:
        places.setdefault(one.title, []).append(one)
    return [f"{title}{_at(places_in_words(tuple(q.place for q in same)))}" for title, same in places.items()]


def _together(suspects: Sequence[Suspect]) -> list[Json]:
    """Suspects of one component and chance in one row, the likeliest first."""
    rows: dict[tuple[str, Fraction], list[Suspect]] = {}
    for one in suspects:
        rows.setdefault((one.at.component, one.chance), []).append(one)
    return [
        {
            "name": same[0].name,
            "where": places_in_words(tuple(one.place for one in same)),
            "percent": _percent(chance),
            "each": len(same) > 1,
            "likelihood": same[0].likelihood,
        }
        for (_, chance), same in rows.items()
    ]


def _percent(chance: Fraction) -> str:
    """Whole percent; what is not certain is never shown as 0 or 100."""
    whole = round_half_up(chance * 100, 0)
    if chance < 1 and whole == 100:
        return "over 99 %"
    return "under 1 %" if chance > 0 and whole == 0 else f"{whole} %"


def _at(where: str) -> str:
    return f", {where}" if where else ""
