"""A supplier, a dozen parts, and price files for them."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from catalog.models import HeldPrice, Offer, PriceBreak, PriceFile, Supplier
from catalog.offers.difference import Difference
from catalog.offers.take import Asked, Who, import_offers
from shop.models import Event
from tests.offers.price_files import FIRST_DAY, HEADER, Row, catalogue_of, rows_of, write_csv

NOON = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
WHO = Who(at=NOON, today=FIRST_DAY)
PARTS = 12


@dataclass
class Counter:
    """A counter clerk with a price list of `PARTS` rows, to be changed and taken in."""

    folder: Path
    supplier: Supplier
    rows: list[Row] = field(default_factory=lambda: list(rows_of(PARTS)))
    header: tuple[str, ...] = HEADER

    def file(self, name: str = "prices.csv", **how: Any) -> Path:
        return write_csv(self.folder / name, self.rows, self.header, **how)

    def take(self, *, today: date = FIRST_DAY, dry_run: bool = False, **asked: Any) -> Difference:
        who = replace(WHO, today=today)
        return import_offers(self.file(), self.supplier.code, Asked(**asked), who, dry_run=dry_run)

    def offers(self, row: int = 0) -> list[Offer]:
        """The offers of the part in this row of the list, the oldest first."""
        return list(Offer.objects.filter(part__number=self.rows[row]["number"]).order_by("valid_from"))


@pytest.fixture
def clerk(db: None, tmp_path: Path) -> Counter:
    return Counter(tmp_path, catalogue_of(PARTS))


@pytest.fixture
def tables(db: None) -> Callable[[], dict[str, list[tuple[Any, ...]]]]:
    """Everything an import may touch, as it stands when called."""

    def read() -> dict[str, list[tuple[Any, ...]]]:
        models = (Offer, PriceBreak, PriceFile, HeldPrice, Supplier, Event)
        return {model.__name__: list(model.objects.order_by("pk").values_list()) for model in models}

    return read
