"""One figure of an estimate and how it came about, so that anybody can do the sum again.

A node says what was done to its parts: added, multiplied, shared. Its parts are nodes again, down to what was
given: an offer's price, a percentage of the shop, minutes from the service data. A part that is explained
elsewhere is only named there ("see").

>>> hours = given("hours", "billed hours", Decimal("0.8"), "hours")
>>> rate = given("rate", "labour rate an hour", Decimal("96.00"), "money")
>>> amount = Node("labour", "labour", Decimal("76.80"), "money", "product", (hours, rate))
>>> amount.how, [part.value for part in amount.parts]
('product', [Decimal('0.8'), Decimal('96.00')])
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

Value = Decimal | Fraction | int
Unit = Literal["money", "minutes", "hours", "percent", "pieces", "factor"]
How = Literal[
    "given",  # written down somewhere; `note` says where
    "see",  # explained at the node with the key in `ref`
    "sum",  # of all parts
    "difference",  # the first less all others
    "product",  # of all parts
    "percentage",  # the second part's percentage of the first
    "division",  # the first by the second
    "billed",  # the first (minutes) in hours, in steps of the second
    "share",  # of the first, by what the second is of the third; shares add up to the whole
    "least",  # of all parts
    "most",  # of all parts
]


@dataclass(frozen=True, slots=True)
class Node:
    """A figure: `value` in `unit`, made of `parts` by `how`.

    A Decimal is rounded half up to the minor unit where it is money (a whole number where it is minutes); a
    Fraction is exact and rounded later. A share is within one unit of the exact one.
    """

    key: str
    label: str
    value: Value
    unit: Unit
    how: How
    parts: tuple[Node, ...] = ()
    note: str = ""
    ref: str = ""

    def walk(self) -> Iterator[Node]:
        """This node and all below it."""
        yield self
        for part in self.parts:
            yield from part.walk()


def given(key: str, label: str, value: Value, unit: Unit, note: str = "") -> Node:
    return Node(key, label, value, unit, "given", (), note)


def see(node: Node, key: str, label: str = "") -> Node:
    """A mention of a figure that is explained at its own place."""
    return Node(key, label or node.label, node.value, node.unit, "see", ref=node.key)


def summed(key: str, label: str, parts: Iterable[Node], unit: Unit = "money", note: str = "") -> Node:
    parts = tuple(parts)
    total: Value = sum((part.value for part in parts), 0)
    return Node(key, label, total, unit, "sum", parts, note)
