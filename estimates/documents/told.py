"""What was found and measured, as rows to print: findings, readings with a picture, readings without."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from estimates.documents.chart import band_words, has_picture
from estimates.documents.phrases import NBSP, Json, capital, sentence

STANDING = {
    "confirmed": "confirmed",
    "suspected": "suspected, not yet certain",
    "advisory": "can wait, worth knowing",
}


def findings_told(findings: list[Json]) -> list[dict[str, Any]]:
    """The surest first."""
    order = list(STANDING)
    return [
        {
            **finding,
            "standing_words": STANDING[finding["standing"]],
            "reasons": [sentence(reason) for reason in finding["reasons"]],
        }
        for finding in sorted(findings, key=lambda one: order.index(one["standing"]))
    ]


def reading_told(reading: Json) -> dict[str, Any]:
    return {
        "reading": reading,
        "name": reading["name"],
        "after": reading["phase"] == "after",
        "band": band_words(reading),
        "path": ", then ".join(reading["path"]),
        "rows": [_row(reading, row) for row in reading["rows"]],
    }


def _row(reading: Json, row: Json) -> dict[str, Any]:
    compared = ""
    if row["corrected"] is not None:
        margin = f" ± {row['uncertainty']}" if row["uncertainty"] and Decimal(row["uncertainty"]) else ""
        compared = f"{row['corrected']}{margin}{NBSP}{reading['symbol']}".rstrip()
    return {
        "where": row["where"],
        "shown": row["shown"],
        "compared": compared,
        "outcome": row["outcome"],
        "reason": "" if row["outcome"] == "good" else capital(row["reason"]),
    }


def single_readings(readings: list[Json]) -> list[dict[str, Any]]:
    """Readings that make no picture, one row each."""
    return [
        {"name": reading["name"], "after": reading["phase"] == "after", "band": band_words(reading), **shown}
        for reading in readings
        if not has_picture(reading)
        for shown in (_row(reading, row) for row in reading["rows"])
    ]
