"""A small picture of one supplier's prices of a part: a line that steps on the day a price starts.

Across runs time, up the price; where an offer had ended before the next one began, the line has a gap. The
table beside it has every figure.
"""

from datetime import date
from decimal import Decimal

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from catalog.offers.history import History, Step
from shop.drawing import FONT, INK, PLUM, SOFT, at, line, text, ticks
from shop.rules.currency import format_money

WIDTH, HEIGHT = 328, 150
LEFT, RIGHT, TOP, BOTTOM = Decimal(62), Decimal(318), Decimal(14), Decimal(118)
FLAT = Decimal("0.05")


def price_chart(history: History, today: date) -> SafeString:
    """The SVG, or "" where there is only one price and nothing to compare."""
    if not history.has_picture:
        return mark_safe("")
    steps = history.steps
    end = max(today, steps[-1].first)
    first, days = steps[0].first.toordinal(), max(end.toordinal() - steps[0].first.toordinal(), 1)
    low, high = _reach([step.price for step in steps])

    def x(day: date) -> Decimal:
        return LEFT + Decimal(day.toordinal() - first) / days * (RIGHT - LEFT)

    def y(price: Decimal) -> Decimal:
        return BOTTOM - (price - low) / (high - low) * (BOTTOM - TOP)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}"'
        f' viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="{FONT}" font-size="11">',
        f"<title>{escape(_title(history))}</title>",
        line(LEFT, BOTTOM, RIGHT, BOTTOM, SOFT),
    ]
    for tick in ticks(low, high, 4):
        parts += [line(LEFT - 4, y(tick), LEFT, y(tick), SOFT)]
        parts.append(text(LEFT - 7, y(tick) + 4, f"{tick:f}", "end", SOFT))
    for day, anchor in ((steps[0].first, "start"), (end, "end")):
        parts.append(text(x(day), BOTTOM + 16, day.isoformat(), anchor, SOFT))
    for place, step in enumerate(steps):
        parts += _step(step, x(step.first), min(x(_last(step, end)), RIGHT), y(step.price))
        if place and steps[place - 1].last is not None and _follows(steps[place - 1], step):
            parts.append(line(x(step.first), y(steps[place - 1].price), x(step.first), y(step.price), PLUM))
    return mark_safe("".join([*parts, "</svg>"]))


def _reach(prices: list[Decimal]) -> tuple[Decimal, Decimal]:
    """From a little below the lowest to a little above the highest, also where all are one."""
    low, high = min(prices), max(prices)
    edge = (high - low) * Decimal("0.1") or (high or Decimal(1)) * FLAT
    return max(low - edge, Decimal(0)) if low > 0 else low - edge, high + edge


def _last(step: Step, end: date) -> date:
    """Where its line stops: the day after its last one, or the right edge."""
    if step.last is None or step.last >= end:
        return end
    return date.fromordinal(step.last.toordinal() + 1)


def _follows(before: Step, step: Step) -> bool:
    return before.last is not None and step.first.toordinal() - before.last.toordinal() == 1


def _step(step: Step, left: Decimal, right: Decimal, y: Decimal) -> list[str]:
    return [
        line(left, y, max(right, left), y, PLUM),
        f'<circle cx="{at(left)}" cy="{at(y)}" r="3" fill="{INK}"/>',
    ]


def _title(history: History) -> str:
    first, last = history.steps[0], history.steps[-1]
    currency = history.supplier.currency
    return (
        f"{history.supplier.name}: {len(history.steps)} prices,"
        f" {format_money(first.price, currency)} from {first.first} to"
        f" {format_money(last.price, currency)} from {last.first}. The table has them all."
    )
