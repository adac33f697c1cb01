from shop.models.event import Event
from shop.models.idempotency import IdempotencyKey
from shop.models.workshop import (
    Fee,
    LineCategory,
    LineTax,
    MarkupBand,
    Meter,
    MeterRange,
    TaxRate,
    Workshop,
)

__all__ = [
    "Event",
    "Fee",
    "IdempotencyKey",
    "LineCategory",
    "LineTax",
    "MarkupBand",
    "Meter",
    "MeterRange",
    "TaxRate",
    "Workshop",
]
