"""What to list in the spec tables: an engine family, a part type, a property, and the unit to show it in."""

from collections.abc import Sequence
from typing import Any

from django import forms

from catalog.lookup import Named
from shop.rules.errors import Refused
from shop.rules.units import alike


class SpecFilterForm(forms.Form):
    family = forms.ChoiceField(label="Engine family", required=False)
    type = forms.ChoiceField(label="Part type", required=False)
    property = forms.ChoiceField(label="Property", required=False)
    unit = forms.ChoiceField(label="Also show in", required=False)

    def __init__(
        self,
        data: Any,
        families: Sequence[Named],
        types: Sequence[Named],
        properties: Sequence[tuple[Named, str]],
    ) -> None:
        super().__init__(data)
        lists = (("family", families), ("type", types), ("property", [named for named, _ in properties]))
        for name, named in lists:
            self.fields[name].choices = [("", "any"), *((one.code, one.name) for one in named)]  # type: ignore[attr-defined]
        self.units = {named.code: unit for named, unit in properties}
        chosen = self.units.get(data.get("property", ""), "") if data else ""
        others = _others(chosen)
        if others:
            self.fields["unit"].choices = [("", "no other unit"), *others]  # type: ignore[attr-defined]
        else:
            del self.fields["unit"]  # a unit means nothing before one property is chosen


def _others(code: str) -> list[tuple[str, str]]:
    """The units that measure the same, the property's own left out."""
    try:
        return [(other.code, other.symbol) for other in alike(code) if other.code != code] if code else []
    except Refused:
        return []
