"""Writes about the workshop itself."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction

from shop.models import Fee, LineTax, MarkupBand, Meter, MeterRange, TaxRate, Workshop

MONEY = ("labour_rate", "supplies_percent", "supplies_cap", "billing_increment")


@transaction.atomic
def set_up_workshop(path: Path) -> Workshop:
    """The workshop with its taxes, markup, fees and meters from a JSON file, where none is set up yet."""
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    facts = {key: Decimal(value) if key in MONEY else value for key, value in data["workshop"].items()}
    workshop = Workshop.objects.create(pk=1, **facts)
    rates = {
        row["code"]: TaxRate.objects.create(**{**row, "percent": Decimal(row["percent"])})
        for row in data["tax_rates"]
    }
    for category, codes in data["line_taxes"].items():
        for code in codes:
            LineTax.objects.create(category=category, rate=rates[code])
    for row in data["markup_bands"]:
        MarkupBand.objects.create(cost_from=Decimal(row["cost_from"]), percent=Decimal(row["percent"]))
    for row in data["fees"]:
        Fee.objects.create(code=row["code"], name=row["name"], amount=Decimal(row["amount"]))
    for row in data["meters"]:
        meter = Meter.objects.create(code=row["code"], name=row["name"])
        for each in row["ranges"]:
            figures = {key: Decimal(each[key]) for key in ("full_scale", "accuracy_percent", "resolution")}
            MeterRange.objects.create(
                meter=meter, unit=each["unit"], accuracy_counts=each["accuracy_counts"], **figures
            )
    return workshop
