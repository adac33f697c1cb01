"""What to buy from whom, what of it is ordered, what came, and what is still missing and since when.

The list follows from what was agreed to. Pieces of one part from one supplier are one line, whatever they are
for. What was ordered already, from anyone, is taken off. Pieces that are needed only if something is found on
opening are named, but nobody has to order them before. An order that came in part is missing the rest; from
the day after it was expected it is overdue.

>>> clip = Wanted("depot", "Depot", "orlin/OR-1", "Orlin OR-1", "clip", 3, Decimal("1.00"))
>>> more = Wanted("depot", "Depot", "orlin/OR-1", "Orlin OR-1", "clip", 2, Decimal("1.00"))
>>> (order,) = lists([clip, more], {"orlin/OR-1": 1})
>>> [(line.quantity, line.to_order) for line in order.lines]
[(5, 4)]
>>> from datetime import date
>>> Awaited(4, 1, date(2026, 3, 2)).overdue(date(2026, 3, 4))
2
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shop.rules.errors import Refused

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pieces of one part for one item; costs are per piece, None if not known, and `part` is "brand/number".

    `supplier` is a code, "" for the shop's own shelf, None where the estimate knows of nobody who sells it.
    `sure` is False for what is needed only if it is found on opening.
    """

    supplier: str | None
    supplier_name: str
    part: str
    label: str
    name: str
    quantity: int
    unit_cost: Decimal | None
    deposit: Decimal = ZERO
    purpose: str = ""
    sure: bool = True


@dataclass(frozen=True, slots=True)
class ListLine:
    """`quantity` pieces are needed for sure, `ordered` are ordered already, `to_order` are left; `if_found`
    more only if something is found on opening."""

    part: str
    label: str
    name: str
    quantity: int
    ordered: int
    to_order: int
    unit_cost: Decimal | None
    deposit: Decimal
    purposes: tuple[str, ...]
    if_found: int = 0


@dataclass(frozen=True, slots=True)
class SupplierList:
    supplier: str | None
    name: str
    lines: tuple[ListLine, ...]

    @property
    def to_order(self) -> bool:
        return any(line.to_order for line in self.lines)


@dataclass(frozen=True, slots=True)
class Awaited:
    """Pieces of one line of an order: `ordered`, those that came, and the day they were expected."""

    ordered: int
    received: int
    expected_on: date | None

    @property
    def missing(self) -> int:
        return max(0, self.ordered - self.received)

    def overdue(self, today: date) -> int:
        """Days since it should have been there; 0 while it is not late, or nothing is missing."""
        if not self.missing or self.expected_on is None:
            return 0
        return max(0, (today - self.expected_on).days)


def lists(wanted: Iterable[Wanted], ordered: Mapping[str, int]) -> tuple[SupplierList, ...]:
    """One list per supplier in the order of their names, the shelf before them, nobody's parts at the end.

    `ordered`: pieces of each part (by "brand/number") that orders of this job hold already.
    """
    together: dict[str | None, dict[str, list[Wanted]]] = {}
    for one in wanted:
        together.setdefault(one.supplier, {}).setdefault(one.part, []).append(one)
    left = dict(ordered)
    found = []
    names = {code: next(iter(parts.values()))[0].supplier_name for code, parts in together.items()}
    for supplier in sorted(together, key=lambda code: (code is None, code != "", names[code], code or "")):
        lines = []
        for part, same in sorted(together[supplier].items(), key=lambda pair: pair[1][0].label):
            quantity = sum(one.quantity for one in same if one.sure)
            here = min(quantity, left.get(part, 0))
            left[part] = left.get(part, 0) - here
            lines.append(
                ListLine(
                    part,
                    same[0].label,
                    same[0].name,
                    quantity,
                    here,
                    quantity - here,
                    same[0].unit_cost,
                    same[0].deposit,
                    tuple(dict.fromkeys(one.purpose for one in same if one.purpose)),
                    sum(one.quantity for one in same if not one.sure),
                )
            )
        found.append(SupplierList(supplier, names[supplier], tuple(lines)))
    return tuple(found)


def check_receipt(awaited: Awaited, quantity: int, label: str) -> None:
    """Refused where more came than is missing, or nothing."""
    if quantity < 1:
        raise Refused.single(f"{label}, pieces", f"{quantity} is none", "say how many came, 1 or more")
    if quantity > awaited.missing:
        raise Refused.single(
            f"{label}, pieces",
            f"{quantity} came, and {awaited.missing} of {awaited.ordered} are missing",
            "write down as many as were ordered, and order what else you keep",
        )
