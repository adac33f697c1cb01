"""The receipt of a decision: what was agreed to and what not, by whom and when, bound to the document's hash.

Page, PDF and API say the same. It is made from records that never change, so it reads the same every time.
"""

from __future__ import annotations

from typing import Any

from django.template.loader import get_template
from django.utils import timezone

from catalog.rules.interval import day_text
from estimates.decisions import accepted_items, offered
from estimates.documents.phrases import Json, Money, capital
from estimates.documents.wording import DEMONSTRATION
from estimates.models import Decision
from estimates.rules.choosing import Choice, Offered
from estimates.rules.life import Decided
from shop.pdf import known_paper, write_pdf

GROUP = {"firm": "firm", "contingent": "only if found on opening", "optional": "if you wish"}
WAY = {"link": "through the private link", "desk": "at the desk"}


def receipt_content(decision: Decision, offer: Offered | None = None) -> dict[str, Any]:
    """The receipt as plain JSON values. One statement; `estimate` and `recorded_by` come selected along."""
    offer = offer or offered(decision.estimate)
    accepted = accepted_items(decision)
    firm_left_out = sum(item.key not in accepted for item in offer.items if item.group == "firm")
    choice = offer.choose(accepted)
    return {
        "number": decision.estimate.number,
        "revision": decision.estimate.revision,
        "sha256": decision.sha256,
        "state": Decided(len(accepted), firm_left_out).state,
        "decided_at": timezone.localtime(decision.decided_at).isoformat(),
        "name": decision.name,
        "way": decision.way,
        "recorded_by": None if decision.recorded_by is None else decision.recorded_by.get_username(),
        "note": decision.note,
        "currency": offer.currency,
        "items": [
            {
                "key": item.key,
                "group": item.group,
                "title": item.title,
                "where": item.where,
                "accepted": item.key in accepted,
            }
            for item in offer.items
        ],
        "sure": str(choice.sure),
        "authorised": str(choice.agreed),
        "authorised_without_tax": str(choice.agreed_without_tax),
        "ceiling": str(choice.ceiling),
    }


def sums_told(choice: Choice, money: Money) -> dict[str, Any]:
    """The figures of a choice in words; what says nothing new is left out."""
    totals = choice.totals
    return {
        "sure": money(str(choice.sure)),
        "agreed": money(str(choice.agreed)) if choice.agreed != choice.sure else "",
        "ceiling": money(str(choice.ceiling)) if choice.ceiling != choice.agreed else "",
        "without_tax": money(str(choice.agreed_without_tax)),
        "taxes": [
            (part.rate.name, money(str(part.amount))) for part in (totals.tax if totals is not None else ())
        ],
        "with_tax": money(str(choice.agreed)),
        "prepaid": money(str(totals.prepaid)) if totals is not None and totals.prepaid else "",
        "due": money(str(totals.due)) if totals is not None and totals.prepaid else "",
    }


def receipt_told(decision: Decision, offer: Offered) -> dict[str, Any]:
    """The receipt in words, for page and paper."""
    receipt = receipt_content(decision, offer)
    at = timezone.localtime(decision.decided_at)
    shown = [
        {
            "name": capital(f"{item['title']}, {item['where']}" if item["where"] else item["title"]),
            "group": GROUP[item["group"]],
            "accepted": item["accepted"],
        }
        for item in receipt["items"]
    ]
    by = decision.recorded_by
    return {
        **receipt,
        "when": f"{day_text(at.date())}, {at:%H:%M}",
        "how": WAY[decision.way],
        "recorder": "" if by is None else by.get_full_name() or by.get_username(),
        "yes": [item for item in shown if item["accepted"]],
        "no": [item for item in shown if not item["accepted"]],
        "sums": sums_told(offer.choose(accepted_items(decision)), Money(offer.currency)),
    }


def receipt_html(decision: Decision, *, paper: str = "A4") -> str:
    """The finished HTML of the receipt."""
    offer = offered(decision.estimate)
    document: Json = offer.document
    context = {
        "document": document,
        "receipt": receipt_told(decision, offer),
        "shop_lines": [line for line in document["workshop"]["address"].splitlines() if line.strip()],
        "notices": [DEMONSTRATION] if document["demonstration"] else [],
        "paper": known_paper(paper),
    }
    return get_template("documents/receipt.html").render(context)


def receipt_pdf(decision: Decision, *, paper: str = "A4") -> bytes:
    """The PDF of that. Raises shop.pdf.PdfUnavailable where Pango is missing."""
    return write_pdf(receipt_html(decision, paper=paper), "receipt")
