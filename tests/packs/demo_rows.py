"""The demonstration pack as it stands on disk, read with nothing but the standard library."""

import csv
from decimal import Decimal
from functools import cache
from pathlib import Path

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
PACK = FIXTURES / "demo"
Row = dict[str, str]


@cache
def rows(name: str) -> tuple[Row, ...]:
    with open(PACK / f"{name}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def of(name: str, **wanted: str) -> list[Row]:
    return [row for row in rows(name) if all(row[column] == value for column, value in wanted.items())]


FAMILIES = [row["code"] for row in rows("engine_families")]


@cache
def specs_by_owner() -> dict[tuple[str, str, str], dict[str, list[Row]]]:
    """(family, part type, part) -> property -> its rows; family or part is empty."""
    found: dict[tuple[str, str, str], dict[str, list[Row]]] = {}
    for row in rows("specs"):
        part = f"{row['part_brand']} {row['part_number']}".strip()
        found.setdefault((row["family"], row["part_type"], part), {}).setdefault(row["property"], []).append(
            row
        )
    return found


def limits(row: Row) -> tuple[Decimal, Decimal, Decimal]:
    """Minimum, nominal, maximum; a value stated alone is all three."""
    nominal = row["nominal"] or row["minimum"] or row["maximum"]
    return tuple(Decimal(row[end] or nominal) for end in ("minimum", "nominal", "maximum"))  # type: ignore[return-value]


def family_spec(family: str, part_type: str, prop: str) -> tuple[Decimal, Decimal, Decimal]:
    (row,) = specs_by_owner()[family, part_type, ""][prop]
    return limits(row)
