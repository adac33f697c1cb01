"""What is known of a unit, as it is typed: empty is not known and stays so."""

from dataclasses import replace
from typing import Any

from django import forms

from catalog.cards import FamilyCard
from catalog.rules.interval import DateInterval
from catalog.rules.vin import compact
from estimates.forms.faults import put_beside
from estimates.models import Unit
from estimates.rules.intake import UnitIn
from estimates.rules.unit_entry import unit_entry
from shop.rules.entry import Faults

OPTION = "option-"
ROAD_USE = [("unknown", "not known"), ("yes", "yes"), ("no", "no")]


class UnitFactsForm(forms.Form):
    """The fields of one engine family: its serial scheme and its options. `.unit` once it is valid."""

    unit: UnitIn

    name = forms.CharField(label="Machine", max_length=120, help_text="what its owner calls it")
    serial = forms.CharField(label="Engine serial number", required=False, max_length=40)
    built = forms.CharField(
        label="Engine built", required=False, max_length=10, help_text="2014, 2014-06 or 2014-06-03"
    )
    registration = forms.CharField(
        label="Registration", required=False, max_length=40, help_text="plate, hull or fleet number"
    )
    vin = forms.CharField(label="Vehicle identification number", required=False, max_length=40)
    road_use = forms.ChoiceField(label="In road use", choices=ROAD_USE, initial="unknown")

    def __init__(
        self, *args: Any, family: FamilyCard | None, on_record: DateInterval | None = None, **kwargs: Any
    ) -> None:
        """`on_record` is a build date that stands while the field is left empty, where it cannot be typed."""
        super().__init__(*args, **kwargs)
        self.family = family
        self.kept = on_record if on_record is not None and not built_text(on_record) else DateInterval()
        if self.kept.is_known:
            self.fields["built"].help_text = f"on record: {self.kept.text}; leave empty to keep that"
        if family is not None and family.scheme is not None:
            self.fields["serial"].help_text = family.scheme.describe()
        for code, values in family.option_values.items() if family is not None else ():
            if values:
                self.fields[OPTION + code] = forms.ChoiceField(
                    label=option_label(family.option_names[code]),  # type: ignore[union-attr]
                    required=False,
                    choices=[("", "not known"), *((value, value) for value in values)],
                )
        for field in self.fields.values():
            if isinstance(field.widget, forms.TextInput):
                field.widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if self.errors or self.family is None:
            return given
        faults = Faults()
        raw = {name: given[name] for name in ("name", "serial", "built", "registration", "road_use")}
        options = {k.removeprefix(OPTION): given[k] for k in self.fields if k.startswith(OPTION)}
        raw |= {"family": self.family.code, "vin": compact(given["vin"]), "options": options}
        unit = unit_entry(raw, "unit", self.family, faults)
        put_beside(self, faults, _field_of)
        if unit is not None:
            self.unit = unit if unit.built.is_known else replace(unit, built=self.kept)
        return given


def option_label(name: str) -> str:
    """The name of an option at the head of a field: "the alternator size" as "Alternator size"."""
    name = name.removeprefix("the ")
    return name[:1].upper() + name[1:]


def _field_of(where: str) -> str:
    name = where.removeprefix("unit, ")
    return OPTION + name.removeprefix("options, ") if name.startswith("options, ") else name


def as_typed(unit: Unit, options: dict[str, str]) -> dict[str, str]:
    """The first contents of the form for a unit on record."""
    return {
        "name": unit.name,
        "serial": unit.serial,
        "built": built_text(on_record(unit)),
        "registration": unit.registration,
        "vin": unit.vin,
        "road_use": unit.road_use,
        **{OPTION + code: value for code, value in options.items()},
    }


def on_record(unit: Unit) -> DateInterval:
    return DateInterval(unit.built_from, unit.built_until)


def built_text(built: DateInterval) -> str:
    """A build date in the form it is typed: 2014, 2014-06, 2014-06-03; empty for a stretch that is none."""
    if built.earliest is None:
        return ""
    iso = built.earliest.isoformat()
    return next((text for text in (iso[:4], iso[:7], iso) if DateInterval.from_text(text) == built), "")
