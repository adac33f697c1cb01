"""Giving a supplier's price file on the page, and saying which of its columns is what."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from catalog.models import Brand
from catalog.offers.reading import DELIMITERS, FIXED_BREAK, OWN, Reading

MEGABYTE = 1_000_000
LARGEST = 16 * MEGABYTE  # looked over while the person waits: some 300,000 rows
BREAKS = ("1", "2", "3")
LABELS = {
    "brand": "Brand",
    "number": "Part number",
    "supplier_number": "Their own number",
    "price": "Price per piece",
    "currency": "Currency",
    "pack": "Pack",
    "minimum_quantity": "Minimum quantity",
    "deposit": "Deposit",
    "lead_days": "Days until it lands",
    "valid_from": "First day",
    "valid_until": "Last day",
}
NOT_IN_FILE = ("", "not in the file")
FOUND_OUT = ("", "found out")
SIGNS = (("", "either, where it is clear"), ("point", "a point, 1234.50"), ("comma", "a comma, 1234,50"))


class PriceFileForm(forms.Form):
    """The file and what the workshop decides about it."""

    file = forms.FileField(label="Price file", help_text="CSV (UTF-8) or .xlsx")
    valid_from = forms.DateField(
        label="Prices count from",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="today where left empty; a column of the file comes first",
    )
    complete = forms.BooleanField(
        label="The file holds everything they sell", required=False, help_text="what is not in it is ended"
    )
    known_only = forms.BooleanField(
        label="Leave out rows for parts that are not on record",
        required=False,
        help_text="otherwise such a row is a fault",
    )

    def checks(self) -> list[forms.BoundField]:
        return [self["complete"], self["known_only"]]

    def clean_file(self) -> UploadedFile:
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > LARGEST:
            raise ValidationError(
                f"The file is larger than {LARGEST // MEGABYTE} MB. "
                "Give it to whoever looks after Tallybore: the command import_offers takes it."
            )
        return file


class ReadingForm(forms.Form):
    """Which header is which of our columns; `headers` are the file's."""

    fixed_brand = forms.ChoiceField(
        label="The whole file is of one brand", required=False, help_text="where it has no column for it"
    )
    decimal = forms.ChoiceField(label="Before decimals stands", required=False, choices=SIGNS)
    delimiter = forms.ChoiceField(
        label="Between the cells stands",
        required=False,
        choices=[FOUND_OUT, *((name, name) for name in DELIMITERS)],
    )
    header_row = forms.IntegerField(label="Row of the headers", min_value=1, max_value=1000)
    sheet = forms.CharField(
        label="Sheet", required=False, max_length=100, help_text="of a workbook with several"
    )

    def __init__(self, data: Any, headers: Sequence[str], reading: Reading) -> None:
        given = reading.columns
        fixed = [(found[1], name) for name in given if (found := FIXED_BREAK.fullmatch(name))]
        starts: dict[str, Any] = {
            f"column_{name}": self._header(headers, given.get(name, name)) for name in OWN
        }
        for place, (quantity, name) in zip(BREAKS, fixed, strict=False):
            starts |= {f"from_{place}": quantity, f"price_{place}": self._header(headers, given[name])}
        starts |= {
            "fixed_brand": reading.brand,
            "decimal": reading.decimal,
            "delimiter": next((name for name, sign in DELIMITERS.items() if sign == reading.delimiter), ""),
            "header_row": reading.header_row,
            "sheet": reading.sheet,
        }
        super().__init__(data, initial=starts)
        choices = [NOT_IN_FILE, *((text, text) for text in dict.fromkeys(headers) if text)]
        for name in OWN:
            self.fields[f"column_{name}"] = forms.ChoiceField(
                label=LABELS[name], required=False, choices=choices, help_text=OWN[name]
            )
        for place in BREAKS:
            self.fields[f"from_{place}"] = forms.IntegerField(
                label=f"Price break {place}: from how many pieces", required=False, min_value=2
            )
            self.fields[f"price_{place}"] = forms.ChoiceField(
                label=f"Price break {place}: price in", required=False, choices=choices
            )
        brands = list(Brand.objects.order_by("name").values_list("code", "name"))
        self.fields["fixed_brand"].choices = [("", "no"), *brands]  # type: ignore[attr-defined]
        self.kept = {name: text for name, text in given.items() if name.startswith("break_")}

    @staticmethod
    def _header(headers: Sequence[str], wanted: str) -> str:
        return next((text for text in headers if text.casefold() == wanted.casefold()), "")

    def columns(self) -> list[forms.BoundField]:
        return [self[f"column_{name}"] for name in OWN]

    def breaks(self) -> list[forms.BoundField]:
        return [self[f"{part}_{place}"] for place in BREAKS for part in ("from", "price")]

    def signs(self) -> list[forms.BoundField]:
        return [self[name] for name in ("fixed_brand", "decimal", "delimiter", "header_row", "sheet")]

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        for place in BREAKS:
            quantity, header = given.get(f"from_{place}"), given.get(f"price_{place}")
            if bool(quantity) != bool(header) and f"from_{place}" not in self.errors:
                self.add_error(f"from_{place}", "Give both the pieces and the column, or neither.")
        return given

    def reading(self) -> Reading:
        """What was chosen. A column left out is said to be nothing, so that none is taken from earlier."""
        given = self.cleaned_data
        columns = {name: given[f"column_{name}"] for name in OWN}
        for place in BREAKS:
            if given[f"from_{place}"]:
                columns[f"price_from_{given[f'from_{place}']}"] = given[f"price_{place}"]
        if given["fixed_brand"]:
            columns["brand"] = ""
        return Reading(
            columns={**self.kept, **columns},
            brand=given["fixed_brand"],
            delimiter=DELIMITERS.get(given["delimiter"], ""),
            decimal=given["decimal"],
            header_row=given["header_row"],
            sheet=given["sheet"],
        )
