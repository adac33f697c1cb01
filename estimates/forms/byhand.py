"""What a person sets on the price of a job: a line written by hand, a discount, money received in advance.

Each form takes its entry to the rules (estimates.rules.byhand_entry) and puts the faults beside its fields.
"""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms

from estimates.forms.faults import put_beside
from estimates.rules.byhand import DiscountIn, HandIn, PaymentIn
from estimates.rules.byhand_entry import discount_entry, hand_entry, payment_entry, refund_fits
from shop.rules.entry import Faults

GROUPS = [
    ("firm", "firm price"),
    ("contingent", "only if found on opening"),
    ("optional", "if the customer wishes"),
]
CATEGORIES = [("bought-in", "bought-in work"), ("parts", "parts"), ("fees", "fees")]
WHOLE = "the whole document"


class ByHandForm(forms.Form):
    """Several of these stand on one page, so each has ids of its own."""

    entry = ""

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", f"{self.entry}-%s")
        super().__init__(*args, **kwargs)
        self.currency = currency

    def given(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in self.fields}

    def put(self, faults: Faults) -> None:
        put_beside(self, faults, lambda where: where.removeprefix(f"{self.entry}, "))


def amount_field(label: str, **kwargs: Any) -> forms.CharField:
    widget = forms.TextInput(attrs={"inputmode": "decimal"})
    return forms.CharField(label=label, max_length=20, widget=widget, **kwargs)


class HandLineForm(ByHandForm):
    """`.hand` once it is valid."""

    entry = "line"
    hand: HandIn

    text = forms.CharField(label="What", max_length=200, help_text="the customer reads this")
    group = forms.ChoiceField(label="Priced as", choices=GROUPS)
    category = forms.ChoiceField(label="Kind", choices=CATEGORIES, help_text="decides its taxes")
    quantity = amount_field("How many", initial="1")
    unit_price = amount_field("Price of one", help_text="without tax")
    unit_cost = amount_field("What you pay for one", required=False, help_text="never printed")
    reason = forms.CharField(label="Why", max_length=200, required=False, help_text="printed under it")

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors:
            faults = Faults()
            hand = hand_entry(self.given(), self.entry, self.currency, faults)
            self.put(faults)
            if hand is not None:
                self.hand = hand
        return self.cleaned_data


class DiscountForm(ByHandForm):
    """`.discount` once it is valid. `items` are (key, title) of what stands in the estimate."""

    entry = "discount"
    discount: DiscountIn

    item = forms.ChoiceField(label="Off what", required=False)
    percent = amount_field("Percent", required=False, help_text="or an amount")
    amount = amount_field("Amount", required=False, help_text="without tax")
    reason = forms.CharField(label="Why", max_length=200, help_text="the customer reads this")

    def __init__(self, *args: Any, items: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["item"].choices = [("", WHOLE), *items]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors:
            faults = Faults()
            discount = discount_entry(self.given(), self.entry, self.currency, faults)
            self.put(faults)
            if discount is not None:
                self.discount = discount
        return self.cleaned_data


class PaymentForm(ByHandForm):
    """`.payment` once it is valid. `paid` is what was received before."""

    entry = "payment"
    payment: PaymentIn

    amount = amount_field("Received", help_text="with a minus for what was given back")
    how = forms.CharField(label="How", max_length=60, help_text="like cash, card, transfer")
    received_on = forms.CharField(
        label="On", required=False, widget=forms.DateInput(attrs={"type": "date"}), help_text="today if empty"
    )
    note = forms.CharField(label="Note", max_length=200, required=False, help_text="never printed")

    def __init__(self, *args: Any, today: date, paid: Iterable[PaymentIn] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today, self.paid = today, tuple(paid)

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors:
            faults = Faults()
            payment = payment_entry(self.given(), self.entry, self.currency, self.today, faults)
            if payment is not None:
                refund_fits(self.paid, payment, self.entry, faults)
            self.put(faults)
            if payment is not None and not faults:
                self.payment = payment
        return self.cleaned_data
