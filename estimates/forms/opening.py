"""A job is opened: who comes, if new; with which machine, if new; and what they complain of."""

from collections.abc import Sequence
from typing import Any

from django import forms

from catalog.cards import FamilyCard
from catalog.lookup import Named
from estimates.forms.unit_facts import UnitFactsForm
from estimates.rules.intake import CustomerIn
from shop.rules.entry import Faults, text_entry


class ComplaintForm(forms.Form):
    complaint = forms.CharField(
        label="Complaint",
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="in the customer's words; it stands on the estimate",
    )

    def clean_complaint(self) -> str:
        return _plain(self.cleaned_data["complaint"], "complaint", 4000)


class CustomerForm(forms.Form):
    """A new customer; `.customer` once it is valid."""

    customer_name = forms.CharField(label="Name", max_length=120)
    address = forms.CharField(
        label="Address", required=False, max_length=500, widget=forms.Textarea(attrs={"rows": 3})
    )
    email = forms.EmailField(label="Email", required=False, max_length=254)
    phone = forms.CharField(label="Telephone", required=False, max_length=60)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            field.widget.attrs["autocomplete"] = "off"  # it is the customer's, not the writer's own

    def clean_customer_name(self) -> str:
        return _plain(self.cleaned_data["customer_name"], "name", 120)

    def clean_address(self) -> str:
        return _plain(self.cleaned_data["address"], "address", 500)

    @property
    def customer(self) -> CustomerIn:
        given = self.cleaned_data
        return CustomerIn(
            given["customer_name"], address=given["address"], email=given["email"], phone=given["phone"]
        )


class NewUnitForm(UnitFactsForm):
    """A unit that is not on record: its engine family first, then what is known of it."""

    def __init__(
        self, *args: Any, families: Sequence[Named], family: FamilyCard | None, **kwargs: Any
    ) -> None:
        super().__init__(*args, family=family, **kwargs)
        field = forms.ChoiceField(
            label="Engine family",
            choices=[("", "choose"), *((one.code, one.name) for one in families)],
            initial=family.code if family else "",
        )
        self.fields = {"family": field, **self.fields}

    @property
    def engine(self) -> forms.BoundField:
        return self["family"]

    @property
    def called(self) -> forms.BoundField:
        return self["name"]

    @property
    def known(self) -> list[forms.BoundField]:
        """What may be left for later; the engine's options are among it once its family is chosen."""
        return [field for field in self if field.name not in ("family", "name")]


def _plain(text: str, where: str, longest: int) -> str:
    faults = Faults()
    taken = text_entry(text, where, faults, longest=longest)
    if faults:
        raise forms.ValidationError([f"It {fault.what}: {fault.right}." for fault in faults])
    return taken
