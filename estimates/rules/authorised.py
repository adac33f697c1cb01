"""What the customer authorised, held beside what the work now comes to.

Between a decision and the end of the work the draft goes on changing: something is found on opening, a part
gets dearer, a test shows nothing. The work now is what the draft holds as firm, less the firm work that the
customer declined, with the options that were agreed to. What is authorised for it is what was agreed to, at
the prices of the document; an item "only if found on opening" that was agreed to counts from when it is
found, so that money meant for a broken heater is not spent on something else.

>>> from decimal import Decimal
>>> from estimates.rules.sheet import SheetItem, SheetTask
>>> from estimates.rules.terms import Terms
>>> terms = Terms("EUR", Decimal(60), Decimal("0.1"), (), "stepped", {}, {})
>>> def sheet(**groups):
...     items = {key: SheetItem(key, group, (), (key,), ()) for key, group in groups.items()}
...     tasks = {key: SheetTask(30, frozenset(), ()) for key in groups}
...     return Sheet(terms, items, tasks, {}, {}, {}, None, {}, 0)
>>> issued = sheet(belt="firm", hose="contingent")
>>> for draft in (issued, sheet(belt="firm", hose="firm"), sheet(belt="firm", pump="firm")):
...     held = hold(issued, (), {"belt", "hose"}, draft)
...     print(held.authorised.with_tax, held.work.with_tax)
30.00 30.00
60.00 60.00
30.00 60.00
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from estimates.rules.sheet import Chosen, Sheet, SheetItem


@dataclass(frozen=True, slots=True)
class Held:
    """What was authorised for the work as it now is, and what that work comes to. `same_work` says that
    nothing is in it that was not agreed to: then only prices have moved, and the agreed ones stand."""

    authorised: Chosen
    work: Chosen
    same_work: bool


def hold(decided: Sheet, done: Collection[str], accepted: Collection[str], draft: Sheet) -> Held:
    """`decided` is the sheet of the document decided on; `done` and `accepted` are keys of its items.

    Work is the same work if its task (an operation or test at one place) is, or, for parts without a task and
    hand-written lines, if its key is.
    """
    agreed = {*done, *accepted}
    declined = [item for item in decided.items.values() if item.group == "firm" and item.key not in agreed]
    yes = _works(decided.items[key] for key in agreed)
    no = _works(declined) - yes
    kept: dict[str, SheetItem] = {}
    for item in draft.items.values():
        if item.group == "firm" or (item.group == "optional" and item.key in agreed):
            left = _without(item, no)
            if left is not None:
                kept[item.key] = left
    works = _works(kept.values())
    found = [
        key
        for key in agreed
        if decided.items[key].group != "contingent" or _works([decided.items[key]]) & works
    ]
    return Held(decided.price(found), replace(draft, items=kept).price(kept), works <= yes)


def _works(items: Iterable[SheetItem]) -> set[str]:
    """Keys of tasks, and of items without any."""
    return {key for item in items for key in (item.tasks or (item.key,))}


def _without(item: SheetItem, no: Collection[str]) -> SheetItem | None:
    if not item.tasks:
        return None if item.key in no else item
    tasks = tuple(task for task in item.tasks if task not in no)
    return replace(item, tasks=tasks) if tasks else None
