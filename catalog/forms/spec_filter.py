"""What to list in the spec tables: of what, which property, from where, and within which bounds in which
unit."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from catalog.forms.choosing import KINDS, choosing
from catalog.models import Property
from catalog.part_named import parts_called, parts_near, spelt
from catalog.spec_query import range_asked
from shop.rules.errors import Refused
from shop.rules.units import alike

VERIFIED = [("", "verified or not"), ("yes", "verified"), ("no", "not verified")]
COLUMNS = {"family": "family_id", "type": "part_type_id", "property": "property_id", "source": "source_id"}
ASKED = ("family", "type", "property", "part", "source", "verified", "at_least", "at_most", "unit")


class SpecFilterForm(forms.Form):
    part = forms.CharField(
        label="Part",
        required=False,
        max_length=130,
        help_text="a number in any spelling, or brand/number",
    )
    verified = forms.ChoiceField(label="Verified", required=False, choices=VERIFIED)
    at_least = forms.DecimalField(
        label="At least", required=False, max_digits=30, decimal_places=15,
        help_text="of one property: values wholly inside, the bound included",
    )  # fmt: skip
    at_most = forms.DecimalField(label="At most", required=False, max_digits=30, decimal_places=15)
    unit = forms.ChoiceField(
        label="Unit",
        required=False,
        error_messages={"invalid_choice": "%(value)s does not measure this property; choose another unit"},
    )

    def __init__(self, data: Any) -> None:
        super().__init__(data)
        self.fields["family"] = choosing("family", "Engine family")
        self.fields["type"] = choosing("type", "Part type")
        self.fields["property"] = choosing("property", "Property")
        self.fields["source"] = choosing("source", "Source")
        self.of = self._property()
        units = _units(self.of)
        if units:
            self.fields["unit"].choices = units  # type: ignore[attr-defined]
            self.fields["unit"].help_text = "of the bounds, and to show values in"
        elif not (data and data.get("unit")):
            del self.fields["unit"]  # a unit means nothing before one property is chosen
        for name in ("at_least", "at_most"):
            # A number field of the browser would take a comma for a point in some languages.
            self.fields[name].widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        self.fields["part"].widget.attrs |= {"autocomplete": "off", "autocapitalize": "characters"}

    def _property(self) -> Property | None:
        given = str(self.data.get("property", "")) if self.data else ""
        if not given:
            return None
        try:
            code = self.fields["property"].clean(given)
        except ValidationError:
            return None
        return Property.objects.filter(code=code).first()

    @property
    def listed(self) -> list[forms.BoundField]:
        """The fields in the order they are asked in."""
        return [self[name] for name in ASKED if name in self.fields]

    def clean_unit(self) -> str:
        code: str = self.cleaned_data["unit"]
        if code and self.of is None:
            raise ValidationError("a unit needs a property: choose one")
        return code

    def clean_part(self) -> list[int]:
        """The parts meant, by id; none where nothing was asked."""
        text = self.cleaned_data["part"].strip()
        found = parts_called(text) if text else []
        if text and not found:
            near = " or ".join(map(spelt, parts_near(text)))
            raise ValidationError(f"there is no part '{text}'" + (f"; did you mean {near}?" if near else ""))
        return [part.pk for part in found]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        low, high = given.get("at_least"), given.get("at_most")
        if self.of is None and (low is not None or high is not None):
            self.add_error("property", "choose the property that the bounds are about")
            return given
        try:
            self.within = range_asked(self.of, low, high, given.get("unit", ""))
        except Refused as refused:
            for fault in refused.faults:
                where = fault.where if fault.where in self.fields else "at_least"
                self.add_error(where, f"{fault.what}; {fault.right}")
        return given

    @property
    def wanted(self) -> Q:
        """The condition for the rows asked for. Of a valid form only."""
        given = self.cleaned_data
        # By key, not by code: a join would keep the database from reading the table in its order.
        found = Q(**{column: KINDS[name].key(given[name]) for name, column in COLUMNS.items() if given[name]})
        if given["part"]:
            found &= Q(part_id__in=given["part"])
        if given["verified"]:
            found &= Q(verified=given["verified"] == "yes")
        return found & self.within


def _units(of: Property | None) -> list[tuple[str, str]]:
    """The units that measure what the property does, its own first, as no choice."""
    try:
        others = alike(of.unit) if of is not None and of.unit else ()
    except Refused:
        return []
    own = [("", f"{one.symbol or one.code} (as stored)") for one in others if of and one.code == of.unit]
    return [*own, *((one.code, one.symbol or one.code) for one in others if of and one.code != of.unit)]
