"""The question asked at the counter: which part, for which engine, with what is known of it.

It is sent with GET, so the address of an answer can be kept, and every field may be left empty.
"""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.cards import FamilyCard
from catalog.lookup import Named
from catalog.rules.interval import DateInterval
from catalog.rules.partnumber import normalise
from shop.rules.errors import Refused

OPTION = "option-"
MOST_PIECES = 9999


class QuestionForm(forms.Form):
    number = forms.CharField(
        label="Part number", required=False, max_length=60, help_text="in any spelling, of any brand"
    )
    family = forms.ChoiceField(label="Engine family", required=False)
    type = forms.ChoiceField(label="Part type", required=False, help_text="where the number is not known")
    quantity = forms.IntegerField(
        label="Pieces",
        required=False,
        min_value=1,
        max_value=MOST_PIECES,
        help_text="prices are for this many",
    )

    def __init__(
        self, data: Any, families: Sequence[Named], types: Sequence[Named], family: FamilyCard | None
    ) -> None:
        super().__init__(data)
        self.card = family
        self.fields["family"].choices = [("", "not chosen"), *((f.code, f.name) for f in families)]  # type: ignore[attr-defined]
        self.fields["type"].choices = [("", "not chosen"), *((t.code, t.name) for t in types)]  # type: ignore[attr-defined]
        self.fields["number"].widget.attrs |= {"autocomplete": "off", "autocapitalize": "characters"}
        self.fields["quantity"].widget.attrs |= {"inputmode": "numeric"}
        self.option_codes: list[str] = []
        if family is not None:
            self._ask_about(family)

    def _ask_about(self, family: FamilyCard) -> None:
        self.fields["built"] = forms.CharField(
            label="Built", required=False, max_length=10, help_text="2014, 2014-06 or 2014-06-03"
        )
        scheme = family.scheme
        self.fields["serial"] = forms.CharField(
            label="Engine serial number",
            required=False,
            max_length=40,
            help_text=scheme.describe() if scheme else "",
        )
        self.fields["position"] = forms.ChoiceField(
            label="Position",
            required=False,
            choices=[("", "anywhere"), *((p.code, p.label) for p in family.positions)],
        )
        for code, values in family.option_values.items():
            if values:
                self.option_codes.append(code)
                self.fields[OPTION + code] = forms.ChoiceField(
                    label=sentence_case(family.option_names[code].removeprefix("the ")),
                    required=False,
                    choices=[("", "not known"), *((value, value) for value in values)],
                )
        for name in ("built", "serial"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    @property
    def which(self) -> list[forms.BoundField]:
        return [self[name] for name in ("number", "family", "type", "quantity")]

    @property
    def known(self) -> list[forms.BoundField]:
        """The fields about the engine; none before a family is chosen."""
        return [field for field in self if field not in self.which]

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"].strip()
        if number:
            self._refuse(lambda: normalise(number))
        return number

    def clean_built(self) -> DateInterval:
        text: str = self.cleaned_data["built"]
        return self._refuse(lambda: DateInterval.from_text(text))

    def clean_serial(self) -> str:
        serial: str = self.cleaned_data["serial"].strip()
        scheme = self.card.scheme if self.card else None
        if serial and scheme is not None:
            return str(self._refuse(lambda: scheme.parse(serial)))
        return serial

    def clean_quantity(self) -> int:
        return self.cleaned_data["quantity"] or 1

    @staticmethod
    def _refuse(read: Any) -> Any:
        try:
            return read()
        except Refused as refused:
            raise ValidationError([f"{fault.what}; {fault.right}" for fault in refused.faults]) from None

    @property
    def options(self) -> dict[str, str]:
        known = {code: self.cleaned_data[OPTION + code] for code in self.option_codes}
        return {code: value for code, value in known.items() if value}


def sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]
