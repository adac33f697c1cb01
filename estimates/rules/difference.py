"""What a revision changes against the estimate it replaces: item by item, line by line, to the cent.

Both are documents as they were issued. An item is the same item if its key is the same, or if it is the same
work under another key (suspected before, firm now). Within it a line is the same if its key is, or if it is
the only one of its kind of part (a heater that was needed at one cylinder and is now needed at two). An item
that moved between "firm", "only if found" and "if you wish" says so. Amounts are net, without tax, so that
the changes of the firm items and charges add up to the change of the firm total without tax.

>>> def document(revision, net, firm):
...     line = {"key": "belt/labour", "kind": "labour", "text": "Labour", "quantity": "1", "net": net,
...         "minutes": 30, "part": None}
...     item = {"key": "belt", "title": "Change the belt", "where": "", "net": net, "lines": [line]}
...     total = {"lines": firm, "charges": "0.00", "without_tax": firm, "tax_sum": "0.00", "with_tax": firm}
...     return {"number": "E-J1", "revision": revision, "currency": "EUR", "valid_until": "2026-04-01",
...         "groups": {"firm": [item]}, "charges": [], "totals": {"firm": total}}
>>> changes = difference(document(1, "30.00", "30.00"), document(2, "36.00", "36.00"))
>>> changes.items[0].what, changes.items[0].by, changes.items[0].lines[0].by, changes.totals[0].by
('changed', Decimal('6.00'), Decimal('6.00'), Decimal('6.00'))
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

Json = Mapping[str, Any]
What = Literal["added", "gone", "changed"]
GROUPS = ("firm", "contingent", "optional")
TOTALS = ("firm", "ceiling", "options")
ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class LineChange:
    """Net amounts, None where the line is not there; quantities are pieces or minutes in words."""

    what: What
    text: str
    quantity_before: str
    quantity_now: str
    before: Decimal | None
    after: Decimal | None

    @property
    def by(self) -> Decimal:
        return (self.after or ZERO) - (self.before or ZERO)


@dataclass(frozen=True, slots=True)
class ItemChange:
    """One item; `group_before` and `group_now` are "" where it was not or is no longer there."""

    what: What
    key: str
    title: str
    where: str
    group_before: str
    group_now: str
    before: Decimal | None
    after: Decimal | None
    lines: tuple[LineChange, ...]

    @property
    def by(self) -> Decimal:
        return (self.after or ZERO) - (self.before or ZERO)


@dataclass(frozen=True, slots=True)
class TotalChange:
    """One of the three totals, with tax."""

    name: str
    before: Decimal
    after: Decimal
    without_tax_before: Decimal
    without_tax_now: Decimal

    @property
    def by(self) -> Decimal:
        return self.after - self.before


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed against `revision` of estimate `number`; `same` counts the items that did not."""

    number: str
    revision: int
    currency_before: str
    valid_until_before: str
    items: tuple[ItemChange, ...]
    charges: tuple[LineChange, ...]
    totals: tuple[TotalChange, ...]
    same: int


def difference(before: Json, now: Json) -> Changes:
    """What `now` changes against `before`, both documents of an estimate, of any format.

    Where the currency changed too the amounts are in different money: compare `currency_before` first.
    """
    new = _items(now)
    old = _as_now(_items(before), new, before, now)
    keys = [*new, *(key for key in old if key not in new)]
    found = [_item(key, old.get(key), new.get(key)) for key in keys]
    changed = tuple(change for change in found if change is not None)
    return Changes(
        number=before["number"],
        revision=before["revision"],
        currency_before=before["currency"],
        valid_until_before=before["valid_until"],
        items=changed,
        charges=_adjustments(before, now),
        totals=tuple(_total(name, before, now) for name in TOTALS if name in now["totals"]),
        same=len(found) - len(changed),
    )


# Items


def _items(document: Json) -> dict[str, tuple[str, Json]]:
    """By key, the group of the item and the item, in the document's order."""
    return {item["key"]: (group, item) for group in GROUPS for item in document["groups"].get(group, ())}


def _as_now(
    old: dict[str, tuple[str, Json]], new: dict[str, tuple[str, Json]], before: Json, now: Json
) -> dict[str, tuple[str, Json]]:
    """The old items, renamed where the same work has another key now: what was only suspected at one cylinder
    is firm. It is the same work if it has a task in common and there is no doubt which item it was."""
    gone, come = _tasks(before, old.keys() - new.keys()), _tasks(now, new.keys() - old.keys())
    renamed = {}
    for key, tasks in gone.items():
        matches = [other for other, its in come.items() if its & tasks]
        if len(matches) == 1 and sum(bool(come[matches[0]] & its) for its in gone.values()) == 1:
            renamed[key] = matches[0]
    return {renamed.get(key, key): item for key, item in old.items()}


def _tasks(document: Json, keys: Collection[str]) -> dict[str, set[str]]:
    """The tasks of these items; none where the document does not keep them."""
    kept = document.get("sheet") or {"items": ()}
    return {item["key"]: set(item["tasks"]) for item in kept["items"] if item["key"] in keys}


def _item(key: str, before: tuple[str, Json] | None, now: tuple[str, Json] | None) -> ItemChange | None:
    group_before, old = before or ("", None)
    group_now, new = now or ("", None)
    lines = _lines(old["lines"] if old else (), new["lines"] if new else ())
    net_before, net_now = (None if item is None else Decimal(item["net"]) for item in (old, new))
    shown = new or old
    assert shown is not None
    same_place = old is None or new is None or old["where"] == new["where"]
    if old and new and not lines and group_before == group_now and net_before == net_now and same_place:
        return None
    what: What = "changed" if old and new else "added" if new else "gone"
    return ItemChange(
        what, key, shown["title"], shown["where"], group_before, group_now, net_before, net_now, lines
    )


def _lines(before: Iterable[Json], now: Iterable[Json]) -> tuple[LineChange, ...]:
    old, new = {line["key"]: line for line in before}, {line["key"]: line for line in now}
    pairs: list[tuple[Json | None, Json | None]] = []
    left = {key: line for key, line in old.items() if key not in new}
    for key, line in new.items():
        match = old.get(key) or _only_one_like(line, left, new, old)
        if match is not None:
            left.pop(match["key"], None)
        pairs.append((match, line))
    pairs += [(line, None) for line in left.values()]
    found = (_line(*pair) for pair in pairs)
    return tuple(change for change in found if change is not None)


def _only_one_like(line: Json, left: Mapping[str, Json], new: Json, old: Json) -> Json | None:
    """The line of the same part type that stood there before, where there is no doubt which it was."""
    stem = _stem(line)
    alike = [other for other in left.values() if _stem(other) == stem]
    rivals = [other for other in new.values() if _stem(other) == stem and other["key"] not in old]
    return alike[0] if len(alike) == len(rivals) == 1 else None


def _stem(line: Json) -> tuple[str, str, str]:
    """What of its item it is, without the places: "heaters/heater@3+5/0" becomes "heater" and "0"."""
    part_type, _, places = line["key"].partition("/")[2].partition("@")
    return line["kind"], part_type, places.partition("/")[2]


def _line(old: Json | None, new: Json | None) -> LineChange | None:
    shown = new or old
    assert shown is not None
    before, now = (None if line is None else Decimal(line["net"]) for line in (old, new))
    many_before, many_now = ("" if line is None else _quantity(line) for line in (old, new))
    if old and new and before == now and many_before == many_now and old["part"] == new["part"]:
        return None
    what: What = "changed" if old and new else "added" if new else "gone"
    text = shown["text"]
    if old and new and old["part"] != new["part"]:
        text = f"{text} ({_part(old)} before)"
    return LineChange(what, text, many_before, many_now, before, now)


def _quantity(line: Json) -> str:
    return str(line["quantity"]) if line["minutes"] is None else f"{line['minutes']} min"


def _part(line: Json) -> str:
    return f"{line['part']['brand']} {line['part']['number']}" if line["part"] else "part to be confirmed"


# What stands on the whole document


def _adjustments(before: Json, now: Json) -> tuple[LineChange, ...]:
    """Charges and, with their sign turned, allowances."""
    old, new = _signed(before), _signed(now)
    found = []
    for key in dict.fromkeys((*new, *old)):
        (text_before, was), (text_now, amount) = old.get(key, ("", None)), new.get(key, ("", None))
        if was != amount:
            what: What = "added" if was is None else "gone" if amount is None else "changed"
            found.append(LineChange(what, text_now or text_before, "", "", was, amount))
    return tuple(found)


def _signed(document: Json) -> dict[tuple[str, str], tuple[str, Decimal]]:
    return {
        (kind, one["key"]): (one["reason"], sign * Decimal(one["amount"]))
        for kind, sign in (("charges", 1), ("allowances", -1))
        for one in document.get(kind, ())
    }


def _total(name: str, before: Json, now: Json) -> TotalChange:
    old, new = before["totals"][name], now["totals"][name]
    return TotalChange(
        name,
        Decimal(old["with_tax"]),
        Decimal(new["with_tax"]),
        Decimal(old["without_tax"]),
        Decimal(new["without_tax"]),
    )
