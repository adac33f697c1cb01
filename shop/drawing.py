"""Shapes and ticks for pictures drawn as SVG with attributes only, neither style nor script.

So one drawing serves the page, whose content security policy forbids both, and the PDF. A picture repeats a
table and never stands for it.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal

from django.utils.html import escape

from shop.rules.rounding import round_half_up

INK, SOFT, PLUM, TINT = "#1f1b20", "#5b5459", "#5b2a6e", "#efe7f2"
FONT = "Source Sans 3, sans-serif"


def ticks(low: Decimal, high: Decimal, most: int = 5) -> list[Decimal]:
    """Round values between the two, one, two or five times a power of ten apart, at most `most` of them.

    >>> [str(tick) for tick in ticks(Decimal("0.66"), Decimal("1.14"))]
    ['0.7', '0.8', '0.9', '1.0', '1.1']
    """
    power = (high - low).adjusted() - 2
    while True:
        for digit in (1, 2, 5):
            step = Decimal((0, (digit,), power))
            count, found = (low / step).to_integral_value(ROUND_CEILING), []
            while count * step <= high:
                # Written as finely as the step; an axis has no minus nought.
                found.append((count * step).quantize(min(step, Decimal(1))) + 0)
                count += 1
                if len(found) > most:
                    break
            if len(found) <= most:
                return found
        power += 1


def at(number: Decimal) -> str:
    return f"{round_half_up(number, 2).normalize():f}"


def line(x1: Decimal, y1: Decimal, x2: Decimal, y2: Decimal, stroke: str) -> str:
    return (
        f'<line x1="{at(x1)}" y1="{at(y1)}" x2="{at(x2)}" y2="{at(y2)}" stroke="{stroke}" stroke-width="1"/>'
    )


def rect(x: Decimal, y: Decimal, width: Decimal, height: Decimal, fill: str) -> str:
    return f'<rect x="{at(x)}" y="{at(y)}" width="{at(width)}" height="{at(height)}" fill="{fill}"/>'


def text(x: Decimal, y: Decimal, words: str, anchor: str, fill: str) -> str:
    return f'<text x="{at(x)}" y="{at(y)}" text-anchor="{anchor}" fill="{fill}">{escape(words)}</text>'
