"""The question asked at the counter: which part, for which engine, with what is known of it.

It is sent with GET, so the address of an answer can be kept, and every field may be left empty.
"""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.cards import FamilyCard
from catalog.rules.interval import DateInterval
from catalog.rules.partnumber import normalise
from catalog.rules.vin import compact, warning
from shop.rules.errors import Refused

OPTION = "option-"
VIN_NOT_SERIAL = (
    "this is a vehicle identification number (17 characters); the serial number of the engine is stamped on "
    "the engine itself"
)
MOST_PIECES = 9999


class QuestionForm(forms.Form):
    number = forms.CharField(label="Part number", required=False, max_length=60, widget=forms.HiddenInput)
    brand = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    quantity = forms.IntegerField(
        label="Pieces",
        required=False,
        min_value=1,
        max_value=MOST_PIECES,
        help_text="offers are reckoned for this many",
    )
    order = forms.ChoiceField(
        label="Offers in order of",
        required=False,
        choices=[("", "landed cost, the least first"), ("soonest", "arrival, the soonest first")],
    )

    def __init__(
        self,
        data: Any,
        family: FamilyCard | None,
        families: forms.Field | None = None,
        types: forms.Field | None = None,
    ) -> None:
        """`family` is the card of the family asked about; the two fields are those of catalog.forms.choosing
        and may be left out where nobody has to choose."""
        super().__init__(data)
        self.card = family
        self.fields["family"] = families or forms.CharField(required=False)
        self.fields["type"] = types or forms.CharField(required=False)
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
        names = ["family", "type", "quantity", "order"]
        if self["number"].value():
            names.remove("type")
        return [self[name] for name in names]

    @property
    def hidden(self) -> list[forms.BoundField]:
        """The part asked about by number; it came from the search."""
        return [self[name] for name in ("number", "brand") if self[name].value()]

    @property
    def known(self) -> list[forms.BoundField]:
        """The fields about the engine; none before a family is chosen."""
        asked = ("number", "brand", "family", "type", "quantity", "order")
        return [field for field in self if field.name not in asked]

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
        if not serial:
            return ""
        if scheme is None:
            if is_vin(serial) and not warning(serial):
                raise ValidationError(VIN_NOT_SERIAL)
            return serial
        try:
            return str(scheme.parse(serial))
        except Refused as refused:
            told = [f"{fault.what}; {fault.right}" for fault in refused.faults]
            if is_vin(serial):
                told = [f"{VIN_NOT_SERIAL}: {scheme.describe()}"]
            raise ValidationError(told) from None

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


def is_vin(text: str) -> bool:
    """Seventeen characters as a vehicle carries them, letters and figures mixed."""
    number = compact(text)
    letters = sum(character.isalpha() for character in number)
    return len(number) == 17 and number.isascii() and number.isalnum() and 0 < letters < 17


def sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]
