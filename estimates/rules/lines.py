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
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from estimates.rules.byhand import DiscountIn, HandIn, split_off
from estimates.rules.plan import Item, NeedAt, places_in_words
from estimates.rules.supply import Piece, Supply
from estimates.rules.terms import Category, Terms
from estimates.rules.workload import NeedKey
from shop.rules.currency import format_money, minor_units, round_money
from shop.rules.remainder import largest_remainder
from shop.rules.totals import line_net

Kind = Literal["labour", "part", "consumable", "deposit", "by-hand"]


@dataclass(frozen=True, slots=True)
class Line:
    """One priced line; `net` = quantity x unit price - allowance, without tax. `minutes` on labour only.

    `allowance` is the line's share of its item's discount (EN 16931 BT-136).
    """

    key: str
    kind: Kind
    category: Category
    text: str
    quantity: int | Decimal
    unit_price: Decimal
    net: Decimal
    minutes: int | None = None
    piece: Piece | None = None
    to_confirm: str = ""
    note: str = ""
    allowance: Decimal = Decimal(0)

    @property
    def gross(self) -> Decimal:
        """Before the item's discount."""
        return self.net + self.allowance


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
            net = piece.price * pieces  # whole pieces at a payable price: nothing to round
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
                net = deposit * pieces
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


def hand_line(hand: HandIn, terms: Terms) -> Line:
    """The one line of an item that a person wrote."""
    net = line_net(hand.quantity, hand.unit_price, currency=terms.currency)
    quantity = hand.quantity.normalize()
    whole = quantity == quantity.to_integral_value()
    pieces = int(quantity) if whole else quantity
    return Line(f"{hand.key}/line", "by-hand", hand.category, hand.text, pieces, hand.unit_price, net)


def discounted(lines: Iterable[Line], discount: DiscountIn, currency: str) -> list[Line]:
    """The lines less the discount on their item: shared among labour, parts and the rest by what they come
    to, then among the lines of each. A deposit is never discounted, since it is given back."""
    lines = list(lines)
    scale = 10 ** minor_units(currency)
    bases: dict[Category, list[int]] = {}
    for line in lines:
        bases.setdefault(line.category, []).append(0 if line.kind == "deposit" else int(line.net * scale))
    off = split_off(discount, {category: sum(nets) for category, nets in bases.items()}, scale)
    shares = {
        category: iter(largest_remainder(off[category], nets) if category in off else [0] * len(nets))
        for category, nets in bases.items()
    }
    taken = [round_money(Fraction(next(shares[line.category]), scale), currency) for line in lines]
    return [
        replace(line, net=line.net - less, allowance=less) if less else line
        for line, less in zip(lines, taken, strict=True)
    ]
