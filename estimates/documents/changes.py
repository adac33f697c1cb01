"""What a revision changed, as plain JSON values in its document, and in words for page and paper."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from estimates.documents.phrases import Json, amount, capital
from estimates.rules.difference import ItemChange, LineChange, TotalChange, difference

GROUP = {"firm": "firm", "contingent": "only if found on opening", "optional": "if you wish"}
TOTAL = {"firm": "Firm", "ceiling": "Not above this without asking again", "options": "With every option too"}
WHAT = {"added": "new", "gone": "no longer in it", "changed": "changed"}


def changes_content(before: Json, now: Json) -> dict[str, Any]:
    """The changes of `now` against `before` for the document. Amounts are net; totals with tax.

    `by` is null where the currency changed, since the two are in different money.
    """
    changes = difference(before, now)
    same_money = changes.currency_before == now["currency"]
    return {
        "number": changes.number,
        "revision": changes.revision,
        "currency": changes.currency_before,
        "valid_until": changes.valid_until_before,
        "same": changes.same,
        "items": [_item(one, same_money) for one in changes.items],
        "charges": [_line(one, same_money) for one in changes.charges],
        "totals": [_total(one, same_money) for one in changes.totals],
    }


def _item(change: ItemChange, same_money: bool) -> dict[str, Any]:
    return {
        "what": change.what,
        "key": change.key,
        "title": change.title,
        "where": change.where,
        "group_before": change.group_before,
        "group_now": change.group_now,
        **_amounts(change, same_money),
        "lines": [_line(line, same_money) for line in change.lines],
    }


def _line(change: LineChange, same_money: bool) -> dict[str, Any]:
    return {
        "what": change.what,
        "text": change.text,
        "quantity_before": change.quantity_before,
        "quantity_now": change.quantity_now,
        **_amounts(change, same_money),
    }


def _total(change: TotalChange, same_money: bool) -> dict[str, Any]:
    return {
        "name": change.name,
        **_amounts(change, same_money),
        "without_tax_before": str(change.without_tax_before),
        "without_tax_now": str(change.without_tax_now),
    }


def _amounts(change: ItemChange | LineChange | TotalChange, same_money: bool) -> dict[str, Any]:
    return {
        "before": None if change.before is None else str(change.before),
        "now": None if change.after is None else str(change.after),
        "by": str(change.by) if same_money else None,
    }


# In words


def changes_told(changes: Json | None) -> dict[str, Any] | None:
    """What page and paper print of the changes in a document; None for a first revision."""
    if changes is None:
        return None
    return {
        "since": f"{changes['number']} revision {changes['revision']}",
        "nothing": not changes["items"] and not changes["charges"],
        "same": changes["same"],
        "items": [_item_told(item) for item in changes["items"]],
        "charges": [_row(line) for line in changes["charges"]],
        "totals": [{**_row(total), "text": TOTAL[total["name"]]} for total in changes["totals"]],
    }


def _item_told(item: Json) -> dict[str, Any]:
    name = capital(f"{item['title']}, {item['where']}" if item["where"] else item["title"])
    before, now = item["group_before"], item["group_now"]
    said = WHAT[item["what"]]
    if item["what"] == "added":
        said = f"new, {GROUP[now]}"
    elif item["what"] == "gone":
        said = f"no longer in it; was {GROUP[before]}"
    elif before != now:
        said = f"now {GROUP[now]}; was {GROUP[before]}"
    return {**_row(item), "text": name, "said": said, "lines": [_row(line) for line in item["lines"]]}


def _row(change: Json) -> dict[str, Any]:
    before, now = change.get("quantity_before", ""), change.get("quantity_now", "")
    how_many = f"{before} before, now {now}" if before and now and before != now else now or before
    return {
        "text": capital(change.get("text", "")),
        "said": WHAT[change["what"]] if "what" in change else "",
        "how_many": how_many,
        "before": "–" if change["before"] is None else amount(change["before"]),
        "now": "–" if change["now"] is None else amount(change["now"]),
        "by": "–" if change["by"] is None else signed(change["by"]),
    }


def signed(text: str) -> str:
    """A difference for people, with its sign: "+12.00", "−3.50", "0.00"."""
    figure = Decimal(text)
    return f"{'+' if figure > 0 else '−' if figure < 0 else ''}{amount(str(abs(figure)))}"
