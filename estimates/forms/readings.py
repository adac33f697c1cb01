"""Readings as they are typed, turned into what the rules take: all positions of a test point, or none."""

from typing import Any

from catalog.cards import PositionCard
from estimates.forms.faults import put_beside
from estimates.forms.meters import accuracy_of
from estimates.forms.reading_fields import OTHER, STATED, ReadingFields
from estimates.rules.entry import METER, reading_entry
from estimates.rules.intake import ReadingIn
from shop.models import Meter
from shop.rules.entry import Faults, decimal_entry
from shop.rules.errors import Refused


class ReadingsForm(ReadingFields):
    """`.readings` once it is valid, each with the meter it was taken with."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.readings: list[tuple[ReadingIn, Meter | None]] = []

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if self.errors:
            return given
        faults = Faults()
        for place in self.places:
            value = given[f"value-{place.code}"].strip()
            if given.get(f"open-{place.code}"):
                if value and value.lower() != "open":
                    faults.add(
                        f"value-{place.code}", f"has both {value} and open circuit", "leave one of them out"
                    )
                    continue
                value = "open"
            if value:
                self._read(place, value, given, faults)
        put_beside(self, faults, self._field_of)
        if not faults and not self.readings:
            self.add_error(None, "Nothing was typed yet: give at least one position its reading.")
        return given

    def _read(self, place: PositionCard, value: str, given: dict[str, Any], faults: Faults) -> None:
        where = f"value-{place.code}"
        meter = self.meters.get(given.get("meter", ""))
        raw = {
            "test_point": self.card.code,
            "position": place.code,
            "value": value,
            "phase": given["phase"],
            "temperature": given.get("temperature", ""),
        }
        stated = {"zero": given.get("zero", "")}
        if meter is not None and value.lower() not in ("open", "on", "off"):
            number = decimal_entry(value, f"{where}, value", faults)
            if number is None:
                return
            try:
                stated |= accuracy_of(meter, number, self.card.unit)
            except Refused as refusal:
                faults.add(where, refusal.faults[0].what, refusal.faults[0].right)
                return
        elif given.get("meter") == OTHER:
            stated |= {name: given[name] for name in STATED}
        reading = reading_entry(raw, where, self.book, faults, stated)
        if reading is not None:
            self.readings.append((reading, meter))

    @staticmethod
    def _field_of(where: str) -> str:
        place, _, what = where.partition(", ")
        return what if what in (*METER, "temperature") else place
