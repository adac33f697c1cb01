"""The lines of an item: labour as a share of the whole, parts as pieces times price, deposits apart.

Places that the same part answers share a line: two heaters of one number, cylinders 3 and 5, are one line
of two pieces. A part whose fitment waits for a fact says so on its line, with the span of the candidates'
prices; one whose fitment is another's says whose.

>>> from catalog.cards import PartCard, PositionCard
>>> from shop.rules.markup import MarkupBand
>>> heater = PartCard(1, "b", "Brand", "GX-1", "heater", "heater", "", "original")
>>> supply = Supply((Piece(heater, 1, None, Decimal("10.00"), Decimal("15.00"), Decimal(0), ""),))
>>> needs = [NeedAt("heater", "heater", 1, PositionCard(code, "cylinder", None), "required") for code in "35"]
>>> bands = (MarkupBand(Decimal(0), Decimal(50)),)
>>> terms = Terms("EUR", Decimal(60), Decimal("0.1"), bands, "stepped", {}, {})
>>> (line,) = part_lines("heaters", needs, {need.key: supply for need in needs}, terms)
>>> line.text, line.quantity, line.net
('heater, cylinders 3 and 5', 2, Decimal('30.00'))
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from estimates.rules.plan import Item, NeedAt, places_in_words
from estimates.rules.supply import Piece, Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import NeedKey
from shop.rules.currency import format_money, round_money
from shop.rules.totals import line_net

Kind = Literal["labour", "part", "consumable", "deposit"]


@dataclass(frozen=True, slots=True)
class Line:
    """One priced line; `net` = quantity x unit price, without tax. `minutes` on labour lines only."""

    key: str
    kind: Kind
    category: Category
    text: str
    quantity: int
    unit_price: Decimal
    net: Decimal
    minutes: int | None = None
    piece: Piece | None = None
    to_confirm: str = ""
    note: str = ""


def part_lines(
    owner: str, needs: Iterable[NeedAt], supplies: Mapping[NeedKey, Supply], terms: Terms
) -> list[Line]:
    """Lines for these needs; places that the same supply answers share a line."""
    together: dict[tuple[str, str, int], list[NeedAt]] = defaultdict(list)
    for need in needs:
        if supplies[need.key].pieces:
            together[need.part_type, need.necessity, id(supplies[need.key])].append(need)
    lines: list[Line] = []
    for (part_type, necessity, _), same in together.items():
        supply = supplies[same[0].key]
        quantity = sum(need.quantity for need in same)
        kind: Kind = "consumable" if necessity in ("consumable", "if-damaged") else "part"
        where = places_in_words(tuple(need.place for need in same))
        for number, piece in enumerate(supply.pieces):
            key = f"{owner}/{part_type}@{'+'.join(need.place.code for need in same)}/{number}"
            pieces = quantity * piece.per
            name = piece.part.type_name
            text = f"{name}, {where}" if where else name
            net = line_net(pieces, piece.price, currency=terms.currency)
            lines.append(
                Line(
                    key,
                    kind,
                    "parts",
                    text,
                    pieces,
                    piece.price,
                    net,
                    None,
                    piece,
                    supply.to_confirm,
                    _note(supply, terms),
                )
            )
            if piece.deposit:
                deposit = round_money(piece.deposit, terms.currency)
                net = line_net(pieces, deposit, currency=terms.currency)
                text = f"Deposit on {name}, returned with the old part"
                lines.append(
                    Line(f"{key}/deposit", "deposit", "deposit", text, pieces, deposit, net, None, piece)
                )
    return lines


def _note(supply: Supply, terms: Terms) -> str:
    if not supply.to_confirm or supply.span is None:
        return f"{supply.alike[:1].upper()}{supply.alike[1:]}." if supply.alike else ""
    low, high = (format_money(amount, terms.currency) for amount in supply.span)
    which = " or ".join(supply.candidates)
    span = f"at {high} each" if low == high else f"between {low} and {high} each, priced here at the dearest"
    return f"To be confirmed: which part fits needs {supply.to_confirm}. {which}, {span}."


def labour_line(item: Item, minutes: int, amount: Decimal) -> Line:
    """An item's share of the labour, in minutes and money."""
    return Line(f"{item.key}/labour", "labour", "labour", "Labour", 1, amount, amount, minutes)
