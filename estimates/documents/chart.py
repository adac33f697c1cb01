"""A picture of one test point: each position's value with its uncertainty against the good band.

Drawn as SVG with attributes only, neither style nor script, so that one drawing serves the page (whose
content security policy forbids both) and the PDF. One row per position: its name, a mark at the corrected
value, a bar as long as the uncertainty to either side, and the judgement in words. What lies off the axis,
an open circuit above all, is said at the margin with an arrow towards where it would be. The picture
repeats a table and never stands for it.
"""

from __future__ import annotations

from decimal import Decimal

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from estimates.documents.axis import LEFT, RIGHT, Plot, plot_of
from estimates.documents.phrases import Json
from shop.drawing import FONT, INK, PLUM, SOFT, TINT, at, line, rect, text, ticks

WIDTH = 328
TOP, ROW, AXIS = Decimal(18), Decimal(17), Decimal(34)


def has_picture(reading: Json) -> bool:
    """Whether there is something to compare: several positions, at least one of them with a value."""
    rows = reading["rows"]
    return reading["kind"] == "number" and len(rows) > 1 and any(row["corrected"] is not None for row in rows)


def reading_chart(reading: Json) -> SafeString:
    """The SVG of one entry of the document's "readings", or "" where a picture would show nothing."""
    if not has_picture(reading):
        return mark_safe("")
    plot, rows = plot_of(reading), reading["rows"]
    bottom = TOP + ROW * len(rows) + 4
    height = bottom + AXIS
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}"'
        f' viewBox="0 0 {WIDTH} {height}" role="img" font-family="{FONT}" font-size="11">',
        f"<title>{escape(_title(reading))}</title>",
        *_ground(plot, bottom, reading["symbol"]),
    ]
    for number, row in enumerate(rows):
        parts += _row(plot, row, TOP + ROW * number + ROW / 2)
    return mark_safe("".join([*parts, "</svg>"]))


def band_words(reading: Json) -> str:
    """The good band for people: "0.70 to 1.10 Ω", "at most 0.15 Ω", "lamp on"."""
    if reading["kind"] == "lamp":
        return str(reading["expected"])
    low, high, unit = reading["minimum"], reading["maximum"], f"\u00a0{reading['symbol']}".rstrip()
    if low is None:
        return f"at most {high}{unit}"
    return f"at least {low}{unit}" if high is None else f"{low} to {high}{unit}"


def _title(reading: Json) -> str:
    """Short: a reader that speaks gets the values from the table."""
    positions = f"{len(reading['rows'])} positions beside the good band, {band_words(reading)}"
    return f"{reading['name']}: {positions}. The table has the values."


def _ground(plot: Plot, bottom: Decimal, symbol: str) -> list[str]:
    """The band, its limits with their values above, the axis with its unit."""
    left = LEFT if plot.minimum is None else plot.x(plot.minimum)
    right = RIGHT if plot.maximum is None else plot.x(plot.maximum)
    parts = [rect(left, TOP, right - left, bottom - TOP, TINT)]
    for limit, anchor in ((plot.minimum, "end"), (plot.maximum, "start")):
        if limit is not None:
            x = plot.x(limit)
            towards = x + 2 if anchor == "end" else x - 2
            parts += [
                line(x, TOP - 3, x, bottom, PLUM),
                text(towards, TOP - 6, f"{limit}", anchor, PLUM),
            ]
    parts.append(line(LEFT, bottom, RIGHT, bottom, SOFT))
    for tick in ticks(plot.low, plot.high):
        x = plot.x(tick)
        parts += [line(x, bottom, x, bottom + 4, SOFT), text(x, bottom + 15, f"{tick:f}", "middle", SOFT)]
    if symbol:
        parts.append(text((LEFT + RIGHT) / 2, bottom + 29, symbol, "middle", SOFT))
    return parts


def _row(plot: Plot, row: Json, y: Decimal) -> list[str]:
    name = row["where"] if len(row["where"]) <= 13 else row["position"]
    parts = [text(LEFT - 8, y + 4, name, "end", INK)]
    if row["corrected"] is None:
        words = f"{row['shown']}: {row['outcome']}"
        return [*parts, _arrow(RIGHT, y, 1), text(RIGHT + 10, y + 4, words, "start", INK)]
    value, margin = Decimal(row["corrected"]), Decimal(row["uncertainty"] or 0)
    if not plot.inside(value):
        above = value > plot.high
        words = f"{value}: {row['outcome']}"
        arrow = _arrow(RIGHT, y, 1) if above else _arrow(LEFT, y, -1)
        return [*parts, arrow, text(RIGHT + 10, y + 4, words, "start", INK)]
    if margin:
        ends = plot.x(plot.clip(value - margin)), plot.x(plot.clip(value + margin))
        parts.append(line(ends[0], y, ends[1], y, INK))
        parts += [line(x, y - 3, x, y + 3, INK) for x in ends]
    parts.append(f'<circle cx="{at(plot.x(value))}" cy="{at(y)}" r="3" fill="{INK}"/>')
    return [*parts, text(RIGHT + 10, y + 4, row["outcome"], "start", INK)]


def _arrow(x: Decimal, y: Decimal, way: int) -> str:
    """A small arrowhead ending at the edge of the plot, pointing out of it."""
    back = x - 7 * way
    return f'<path d="M{at(x)} {at(y)}L{at(back)} {at(y - 4)}L{at(back)} {at(y + 4)}Z" fill="{INK}"/>'
