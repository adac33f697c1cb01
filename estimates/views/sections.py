"""What was measured and found, put for the page: the document's words, with the keys its buttons need."""

from decimal import Decimal
from typing import Any

from catalog.cards import FamilyCard
from catalog.rules.vin import warning
from estimates.documents.chart import band_words
from estimates.documents.wording import STANDING
from estimates.forms.unit_facts import on_record, option_label
from estimates.models import Finding, Job, Reading
from estimates.rules.unit_entry import ROAD_USE

Json = dict[str, Any]
NOT_KNOWN = ""
YES_NO = dict(zip(ROAD_USE, ("yes", "no", NOT_KNOWN), strict=True))


def unit_rows(job: Job, family: FamilyCard, options: dict[str, str]) -> list[tuple[str, str]]:
    """What is known of the machine as (term, value); an empty value is not known."""
    unit = job.unit
    rows = [
        ("Machine", unit.name),
        ("Engine", family.name),
        ("Engine serial number", unit.serial),
        ("Engine built", on_record(unit).text if on_record(unit).is_known else NOT_KNOWN),
    ]
    rows += [(option_label(name), options.get(code, NOT_KNOWN)) for code, name in family.option_names.items()]
    rows += [
        ("In road use", YES_NO[unit.road_use]),
        ("Registration", unit.registration),
        ("Vehicle identification number", unit.vin),
    ]
    return rows


def vin_warning(job: Job) -> str:
    """What to look at again in the number on record, "" where nothing is."""
    return (warning(job.unit.vin) or "") if job.unit.vin else ""


def readings_taken(job: Job, document: Json) -> list[Json]:
    """The document's readings by test point, each row with its key. One statement."""
    rows = Reading.objects.filter(job=job).select_related("meter", "test_point", "position")
    kept = {(row.test_point.code, row.phase, row.position.code): row for row in rows}
    return [
        {
            **test,
            "band": band_words(test),
            "path_words": ", then ".join(test["path"]),
            "after": test["phase"] == "after",
            "lines": [
                _line(row, test, kept[test["test_point"], test["phase"], row["position"]])
                for row in test["rows"]
            ],
        }
        for test in document["readings"]
    ]


def _line(row: Json, test: Json, kept: Reading) -> Json:
    margin = f" ± {row['uncertainty']}" if Decimal(row["uncertainty"] or 0) else ""
    compared = f"{row['corrected']}{margin} {test['symbol']}" if row["corrected"] is not None else ""
    how = [kept.meter.name] if kept.meter else []
    if kept.temperature is not None:
        how.append(f"at {kept.temperature.normalize():f} °C")
    return {**row, "pk": kept.pk, "compared": compared, "how": ", ".join(how)}


def taken_at(readings: list[Json], test_point: str) -> dict[str, str]:
    """By position, what was read there before the repair: "0.9 Ω, good"."""
    return {
        row["position"]: f"{row['shown']}, {row['outcome']}"
        for test in readings
        if test["test_point"] == test_point and not test["after"]
        for row in test["rows"]
    }


def findings_made(job: Job, document: Json) -> list[Json]:
    """The document's findings; those a person made with their key and who made them. One statement."""
    rows = Finding.objects.filter(job=job).select_related("component", "position", "found_by")
    kept = {(row.component.code, row.position.code): row for row in rows}
    return [
        {
            **found,
            "standing_words": STANDING[found["standing"]],
            "kept": kept.get((found["component"], found["position"])),
        }
        for found in document["findings"]
    ]
