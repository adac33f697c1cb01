"""A finding that a person makes: which component, where, how sure, and what was seen."""

from typing import Any

from django import forms

from catalog.service_cards import ServiceBook
from estimates.forms.faults import put_beside
from estimates.rules.entry import finding_entry
from estimates.rules.intake import JudgedIn
from shop.rules.entry import Faults

STANDINGS = [
    ("confirmed", "confirmed: firm price"),
    ("suspected", "suspected: only if found"),
    ("advisory", "can wait: if you wish"),
]
SCOPES = {"engine": "One on the engine", "bank": "One on each bank", "cylinder": "One at each cylinder"}


class FindingForm(forms.Form):
    """`.judged` once it is valid."""

    judged: JudgedIn

    component = forms.ChoiceField(label="What")
    position = forms.ChoiceField(label="Where")
    standing = forms.ChoiceField(label="How sure", choices=STANDINGS)
    quantity = forms.CharField(
        label="Pieces", initial="1", max_length=6, help_text="counts for small parts that broke"
    )
    reason = forms.CharField(label="What was seen", max_length=300, help_text="the customer reads this")

    def __init__(self, *args: Any, book: ServiceBook, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.book = book
        components = sorted(book.components.values(), key=lambda card: card.name)
        self.fields["component"].choices = [  # type: ignore[attr-defined]
            ("", "choose"),
            *(
                (words, [(card.code, card.name) for card in components if card.scope == scope])
                for scope, words in SCOPES.items()
                if any(card.scope == scope for card in components)
            ),
        ]
        self.fields["position"].choices = [  # type: ignore[attr-defined]
            (place.code, place.label) for place in book.family.positions
        ]
        self.fields["quantity"].widget.attrs["inputmode"] = "numeric"

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if self.errors:
            return given
        faults = Faults()
        names = ("component", "position", "standing", "quantity", "reason")
        judged = finding_entry({name: given[name] for name in names}, "finding", self.book, faults)
        put_beside(self, faults, lambda where: where.removeprefix("finding, "))
        if judged is not None:
            self.judged = judged
        return given
