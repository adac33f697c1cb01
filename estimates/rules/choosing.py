"""What a customer chooses from an issued estimate comes to, worked out from the document alone.

Every item is decided by itself: yes or no. What is already done (tests carried out) is charged in any case.
Firm and optional items that were agreed to are sure; an item "only if found on opening" that was agreed to is
done and charged only if it turns out so, and it can turn out so only while work is done that may bring it.
Three figures follow: what is sure, what was agreed to in all, and the most it could come to with everything
that may be found on the way, for which the customer would be asked again.

Documents of the first format hold no price sheet. They can be decided on as they print their totals: the firm
work, the firm work with everything that may be found, or everything.

>>> item = {"key": "belt", "title": "Change the belt", "where": "", "done": False, "adds": None}
>>> total = {"with_tax": "36.00", "without_tax": "30.00"}
>>> document = {"currency": "EUR", "groups": {"firm": [item], "contingent": [], "optional": []},
...     "totals": {"firm": total, "ceiling": total, "options": total}}
>>> offer = Offered(document)
>>> offer.choose(["belt"]).agreed, offer.choose([]).agreed
(Decimal('36.00'), Decimal('0.00'))
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from estimates.rules.plan import Group
from estimates.rules.sheet import Chosen, Sheet
from estimates.rules.sheet_kept import sheet_from
from estimates.rules.workload import ACCESS
from shop.rules.currency import round_money
from shop.rules.errors import Fault, Refused
from shop.rules.totals import Totals

GROUPS: tuple[Group, ...] = ("firm", "contingent", "optional")


@dataclass(frozen=True, slots=True)
class Decidable:
    """An item of the document that waits for a yes or no; `parents` are keys of items that may bring it."""

    key: str
    group: Group
    title: str
    where: str
    adds: Decimal | None
    parents: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"{self.title}, {self.where}" if self.where else self.title


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen, with tax: `sure` without what may be found, `agreed` in all, `ceiling` the most that
    may come of it. `totals` are those of `agreed`, None where the document has no price sheet."""

    accepted: tuple[str, ...]
    sure: Decimal
    agreed: Decimal
    agreed_without_tax: Decimal
    ceiling: Decimal
    totals: Totals | None


class Offered:
    """An issued document as something to choose from."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.document = document
        self.currency: str = document["currency"]

    @cached_property
    def sheet(self) -> Sheet | None:
        kept = self.document.get("sheet")
        return None if kept is None else sheet_from(kept)

    @cached_property
    def items(self) -> tuple[Decidable, ...]:
        """What is to be decided, in the document's order."""
        found = []
        for group in GROUPS:
            for item in self.document["groups"][group]:
                if item["done"] or item["key"] == ACCESS:
                    continue
                parents = self.sheet.items[item["key"]].parents if self.sheet else ()
                adds = None if item["adds"] is None else Decimal(item["adds"])
                found.append(Decidable(item["key"], group, item["title"], item["where"], adds, parents))
        return tuple(found)

    @cached_property
    def done(self) -> tuple[str, ...]:
        """Keys of what is done already and charged whatever is decided."""
        return tuple(item["key"] for item in self.document["groups"]["firm"] if item["done"])

    def keys(self, *groups: Group) -> list[str]:
        return [item.key for item in self.items if item.group in groups]

    def not_arising(self, accepted: Collection[str]) -> tuple[Decidable, ...]:
        """Accepted items "only if found" that nothing else accepted could bring."""
        chosen = set(accepted)
        there = {item.key for item in self.items if item.key in chosen and item.group != "contingent"}
        waiting = [item for item in self.items if item.key in chosen and item.group == "contingent"]
        while ready := [item for item in waiting if not item.parents or there & set(item.parents)]:
            there |= {item.key for item in ready}
            waiting = [item for item in waiting if item not in ready]
        return tuple(waiting)

    def choose(self, accepted: Collection[str]) -> Choice:
        """What these items (keys) come to. Refused for an unknown item, and for one that cannot arise."""
        known = {item.key: item for item in self.items}
        faults = [
            Fault(f"item {key}", "is not in this estimate", f"use {', '.join(known) or 'nothing'}")
            for key in accepted
            if key not in known
        ]
        faults += [
            Fault(
                item.name,
                "can only arise with " + " or ".join(known[key].name for key in item.parents if key in known),
                "agree to that too, or leave this out",
            )
            for item in self.not_arising(accepted)
        ]
        if faults:
            raise Refused(faults)
        keys = tuple(item.key for item in self.items if item.key in set(accepted))
        sure = tuple(key for key in keys if known[key].group != "contingent")
        if self.sheet is None:
            return self._as_printed(keys, sure)
        total = self.sheet.price((*self.done, *keys))
        most: Chosen = self.sheet.price((*self.done, *keys, *self.sheet.arising((*self.done, *keys))))
        return Choice(
            accepted=keys,
            sure=self.sheet.price((*self.done, *sure)).with_tax,
            agreed=total.with_tax,
            agreed_without_tax=total.totals.without_tax,
            ceiling=max(most.with_tax, total.with_tax),
            totals=total.totals,
        )

    def without(self, key: str) -> Decimal | None:
        """What leaving one firm item out would save, with tax; None where the document cannot say."""
        if self.sheet is None:
            return None
        firm = [*self.done, *self.keys("firm")]
        whole, less = self.sheet.price(firm), self.sheet.price(one for one in firm if one != key)
        return whole.with_tax - less.with_tax

    def _as_printed(self, keys: tuple[str, ...], sure: tuple[str, ...]) -> Choice:
        totals = self.document["totals"]
        firm, contingent = self.keys("firm"), self.keys("contingent")
        printed = {
            frozenset[str](): None,
            frozenset((*firm, *contingent, *self.keys("optional"))): "options",
            frozenset((*firm, *contingent)): "ceiling",
            frozenset(firm): "firm",
        }
        if frozenset(keys) not in printed:
            raise Refused.single(
                "choice",
                "this estimate was issued without what is needed to price parts of it exactly",
                "agree to the firm work, to that with everything that may be found, to everything, or to "
                "nothing; or issue it again",
            )
        name = printed[frozenset(keys)]
        zero = round_money(Decimal(0), self.currency)
        if name is None:
            return Choice((), zero, zero, zero, zero, None)
        with_tax = {each: Decimal(totals[each]["with_tax"]) for each in ("firm", "ceiling", "options")}
        sure_total = with_tax["firm"]
        if name == "options" and self.keys("optional") and not contingent:
            sure_total = with_tax["options"]
        ceiling = with_tax["options"] if name == "options" else with_tax["ceiling"]
        return Choice(keys, sure_total, with_tax[name], Decimal(totals[name]["without_tax"]), ceiling, None)
