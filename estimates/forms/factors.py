"""What takes longer on this machine: which step, where, times how much, and why."""

from typing import Any

from django import forms

from catalog.service_cards import ServiceBook
from estimates.forms.faults import put_beside
from estimates.forms.findings import SCOPES
from estimates.rules.factors import factor_entry
from estimates.rules.intake import FactorIn
from shop.rules.entry import Faults


class FactorForm(forms.Form):
    """`.factor_in` once it is valid."""

    factor_in: FactorIn

    step = forms.ChoiceField(label="Which step")
    position = forms.ChoiceField(label="Where", required=False)
    factor = forms.CharField(label="Times", max_length=8, help_text="its usual minutes, like 1.5")
    reason = forms.CharField(label="Why", max_length=200, help_text="the customer reads this")

    def __init__(self, *args: Any, book: ServiceBook, **kwargs: Any) -> None:
        # The form of the findings on the same page has fields of the same names.
        super().__init__(*args, **{"auto_id": "factor-%s", **kwargs})
        self.book = book
        steps = sorted(book.steps.values(), key=lambda card: card.name)
        self.fields["step"].choices = [  # type: ignore[attr-defined]
            ("", "choose"),
            *(
                (words, [(card.code, card.name) for card in steps if card.scope == scope])
                for scope, words in SCOPES.items()
                if any(card.scope == scope for card in steps)
            ),
        ]
        self.fields["position"].choices = [  # type: ignore[attr-defined]
            ("", "wherever it is done"),
            *((place.code, place.label) for place in book.family.positions),
        ]
        self.fields["factor"].widget.attrs["inputmode"] = "decimal"

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if self.errors:
            return given
        faults = Faults()
        names = ("step", "position", "factor", "reason")
        factor = factor_entry({name: given[name] for name in names}, "factor", self.book, faults)
        put_beside(self, faults, lambda where: where.removeprefix("factor, "))
        if factor is not None:
            self.factor_in = factor
        return given
