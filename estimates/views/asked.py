"""The items of an issued estimate with a box to tick for each: on the customer's page and at the desk."""

from collections.abc import Collection
from typing import Any

from estimates.documents.phrases import Money, capital, sentence
from estimates.rules.choosing import Decidable, Offered

LEADS = {
    "firm": ("Firm work", "We know that this is needed."),
    "contingent": (
        "Only if found on opening",
        "Nobody can see this from outside. What you agree to is done, and charged, only if it turns out so; "
        "for the rest we ask you again.",
    ),
    "optional": ("If you wish", "This can be left for another time."),
}


def asked_groups(offer: Offered, accepted: Collection[str]) -> list[dict[str, Any]]:
    """The groups that hold anything to decide, each with its items in the document's order."""
    money, names = Money(offer.currency), {item.key: item.name for item in offer.items}
    kept = {item["key"]: item for items in offer.document["groups"].values() for item in items}
    found = []
    for group, (title, lead) in LEADS.items():
        items = [
            {
                "id": f"accept-{number}",
                "key": item.key,
                "name": capital(item.name),
                "on": item.key in accepted,
                "texts": [
                    sentence(text) for text in (*kept[item.key]["why"], kept[item.key]["description"]) if text
                ],
                "price": _price(offer, item, money),
                "only_with": [capital(names[key]) for key in item.parents if key in names],
            }
            for number, item in enumerate(offer.items, 1)
            if item.group == group
        ]
        if items:
            found.append({"code": group, "title": title, "lead": lead, "items": items})
    return found


def _price(offer: Offered, item: Decidable, money: Money) -> str:
    if item.adds is not None:
        return f"adds {money(str(item.adds))}"
    saves = offer.without(item.key)
    return "" if saves is None else f"left out, it saves {money(str(saves))}"
