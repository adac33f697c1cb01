"""The fields for readings: one test point, a row for each of its positions, one meter for all of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from catalog.cards import PositionCard
from catalog.service_cards import ServiceBook, TestPointCard
from estimates.documents.chart import band_words
from estimates.forms.meters import measures
from estimates.models import Phase
from estimates.rules.entry import symbol
from shop.models import Meter
from shop.rules.unit_table import UNITS

NOT_STATED, OTHER = "", "other"
STATED = ("accuracy_percent", "accuracy_counts", "resolution")
LAMP = [("", "not tested"), ("on", "lamp on"), ("off", "lamp off")]


@dataclass(frozen=True)
class Row:
    """One position of the form: its value and, for a number, whether the circuit is open."""

    place: PositionCard
    value: forms.BoundField
    open: forms.BoundField | None
    taken: str


class ReadingFields(forms.Form):
    """What is asked for depends on the test point: a lamp has no meter, some limits any temperature."""

    phase = forms.ChoiceField(label="Taken", choices=Phase.choices, initial=Phase.BEFORE)
    meter = forms.ChoiceField(label="Meter", required=False)
    zero = forms.CharField(label="Meter zero", required=False, max_length=20)
    temperature = forms.CharField(label="Temperature, °C", required=False, max_length=10)
    accuracy_percent = forms.CharField(label="Accuracy, percent of reading", required=False, max_length=20)
    accuracy_counts = forms.CharField(label="plus counts", required=False, max_length=6)
    resolution = forms.CharField(label="One count is worth", required=False, max_length=20)

    def __init__(
        self,
        *args: Any,
        book: ServiceBook,
        card: TestPointCard,
        meters: Sequence[Meter],
        taken: dict[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        """`taken` says by position what was already read there."""
        super().__init__(*args, **kwargs)
        self.book, self.card, self.taken = book, card, taken or {}
        self.places = book.family.of_scope(card.scope)
        self.meters = {meter.code: meter for meter in meters if card.kind != "lamp" and _suits(meter, card)}
        if card.kind == "lamp":
            for name in ("meter", "zero", *STATED):
                del self.fields[name]
        else:
            self._offer_meters()
        if {card.temperature_min, card.temperature_max, card.temperature_coefficient} == {None}:
            del self.fields["temperature"]
        else:
            self.fields["temperature"].help_text = f"of the part measured{_holds(card)}"
        for place in self.places:
            self._offer_row(place)

    def _offer_meters(self) -> None:
        field = self.fields["meter"]
        named = [(meter.code, meter.name) for meter in self.meters.values()]
        field.choices = [  # type: ignore[attr-defined]
            *named,
            (OTHER, "another one: accuracy stated below"),
            (NOT_STATED, "accuracy not stated: taken as exact"),
        ]
        field.initial = named[0][0] if named else NOT_STATED
        field.help_text = "its stated accuracy decides how near a limit a reading can be told"
        self.fields[
            "zero"
        ].help_text = f"what it shows with its leads together, in {symbol(self.card.unit)}; 0 unless given"
        self.fields["resolution"].help_text = f"in {symbol(self.card.unit)}"
        for name in STATED:
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    def _offer_row(self, place: PositionCard) -> None:
        label = f"{place.label}".replace("the engine", "engine").capitalize()
        if self.card.kind == "lamp":
            self.fields[f"value-{place.code}"] = forms.ChoiceField(label=label, required=False, choices=LAMP)
            return
        value = forms.CharField(label=label, required=False, max_length=20)
        value.widget.attrs |= {"autocomplete": "off", "inputmode": "decimal"}
        self.fields[f"value-{place.code}"] = value
        self.fields[f"open-{place.code}"] = forms.BooleanField(label=f"{label}: open circuit", required=False)

    @property
    def expected(self) -> str:
        """The good band in words."""
        card = self.card
        return band_words(
            {
                "kind": card.kind,
                "minimum": card.minimum,
                "maximum": card.maximum,
                "symbol": symbol(card.unit),
                "expected": f"lamp {card.lamp}",
            }
        )

    @property
    def symbol(self) -> str:
        return symbol(self.card.unit)

    @property
    def cautions(self) -> list[str]:
        return [self.book.cautions[code] for code in self.card.cautions]

    @property
    def rows(self) -> list[Row]:
        return [
            Row(
                place,
                self[f"value-{place.code}"],
                self[f"open-{place.code}"] if f"open-{place.code}" in self.fields else None,
                self.taken.get(place.code, ""),
            )
            for place in self.places
        ]

    @property
    def head(self) -> list[forms.BoundField]:
        return [self[name] for name in ("phase", "meter", "zero", "temperature") if name in self.fields]

    @property
    def by_hand(self) -> list[forms.BoundField]:
        return [self[name] for name in STATED if name in self.fields]


def _holds(card: TestPointCard) -> str:
    """At which temperatures the limits hold, where the test point says."""
    low, high = card.temperature_min, card.temperature_max
    if low is not None and high is not None:
        return f"; the limits hold from {low.normalize():f} to {high.normalize():f} °C"
    if low is None and high is None:
        return "; the limits hold at 20 °C"
    edge = f"above {low.normalize():f}" if low is not None else f"below {high.normalize():f}"  # type: ignore[union-attr]
    return f"; the limits hold {edge} °C"


def _suits(meter: Meter, card: TestPointCard) -> bool:
    return card.unit in UNITS and measures(meter, card.unit)
