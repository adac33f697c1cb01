"""The explanation of an estimate's figures as plain JSON values and, for its page, in words.

For the shop's own people: it names suppliers and costs, and is part of no document that a customer reads.
"""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from estimates.builder import Built
from estimates.rules.explain import explain
from estimates.rules.explained import Node, Value

Json = dict[str, Any]
HOW = {
    "given": "",
    "see": "explained at its own place",
    "sum": "added up",
    "difference": "the first less the rest",
    "product": "multiplied",
    "percentage": "the percentage of the first",
    "division": "the first divided by the second",
    "billed": "in hours, rounded to the steps of the shop",
    "share": "a share of the first: as the second is to the third",
    "least": "the least of them",
    "most": "the most of them",
}
UNITS = {"minutes": "min", "hours": "h", "percent": "%", "pieces": "", "factor": ""}


def explanation_content(built: Built) -> Json:
    """The figures of a built estimate, each with its parts below it."""
    figures = explain(built.priced, built.plan, built.supplies)
    return {"currency": built.terms.currency, "figures": [_node(figure) for figure in figures]}


def _node(node: Node) -> Json:
    return {
        "key": node.key,
        "label": node.label,
        "value": value_text(node.value),
        "unit": node.unit,
        "how": node.how,
        "note": node.note,
        "see": node.ref,
        "parts": [_node(part) for part in node.parts],
    }


def value_text(value: Value) -> str:
    """As a decimal where that is exact, as a fraction (like 70/3) else."""
    if isinstance(value, Decimal):
        return f"{value:f}"
    exact = Fraction(value)
    for places in range(13):
        scaled = exact * 10**places
        if scaled.denominator == 1:
            return f"{Decimal(scaled.numerator).scaleb(-places):f}"
    return f"{exact.numerator}/{exact.denominator}"


def explanation_told(content: Json) -> list[Json]:
    """The figures for the page: values with their units, and what was done, in words."""
    return [_told(figure, content["currency"]) for figure in content["figures"]]


def _told(node: Json, currency: str) -> Json:
    unit = currency if node["unit"] == "money" else UNITS[node["unit"]]
    return {
        "id": anchor(node["key"]),
        "label": node["label"][:1].upper() + node["label"][1:],
        "value": f"{node['value']}\u00a0{unit}".rstrip(),
        "how": HOW[node["how"]] if node["parts"] or node["see"] else "",
        "see": anchor(node["see"]) if node["see"] else "",
        "note": node["note"],
        "parts": [_told(part, currency) for part in node["parts"]],
    }


def anchor(key: str) -> str:
    """A key as an id in a page: its letters and digits, others by their number, so that no two are alike."""
    return "figure-" + "".join(
        sign if sign.isascii() and (sign.isalnum() or sign == "-") else f"_{ord(sign)}" for sign in key
    )
