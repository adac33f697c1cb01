"""Parts by number: as asked, by its beginning, by a supplier's own number, one slip away.

Asked at every key pressed, so it is plain SQL, read as plain rows. "Begins with" is written as a range: both
databases answer it from the index in the index's own order, SQLite (which does not do so for LIKE here) and
PostgreSQL also where a statement was prepared without knowing the value (which LIKE would spoil).
"""

import json
from collections.abc import Iterable
from typing import Any, NamedTuple

from catalog.rules.nearnumber import one_slip_away
from catalog.search.reads import LAST, both, rows, vendor


class Row(NamedTuple):
    """A part found; `supplier` is the name and `supplier_number` the number where a supplier's led here."""

    id: int
    brand: str
    brand_name: str
    number: str
    normalised: str
    type_name: str
    description: str
    supplier: str
    supplier_number: str


_COLUMNS = "p.id, b.code, b.name, p.number, p.normalised, y.name, p.description"
_NAMES = "JOIN catalog_brand b ON b.id = p.brand_id JOIN catalog_parttype y ON y.id = p.part_type_id"
EXACT = both(f"SELECT {_COLUMNS}, '', '' FROM catalog_part p {_NAMES} WHERE p.normalised = %s")
BEGINNING = both(
    f"SELECT {_COLUMNS}, '', '' FROM (SELECT id, brand_id, part_type_id, number, normalised, description "
    f"FROM catalog_part WHERE {{begins}} LIMIT %s) p {_NAMES}",
    begins=(
        "normalised >= %s AND normalised < %s ORDER BY normalised",
        "normalised ~>=~ %s AND normalised ~<~ %s ORDER BY normalised USING ~<~",
    ),
)
SUPPLIERS = (
    f"SELECT {_COLUMNS}, s.name, o.supplier_number FROM (SELECT DISTINCT part_id, supplier_id, "
    "supplier_number FROM catalog_offer WHERE supplier_normalised = %s LIMIT %s) o "
    f"JOIN catalog_part p ON p.id = o.part_id JOIN catalog_supplier s ON s.id = o.supplier_id {_NAMES}"
)
NUMBERED = {name: f"{sql} UNION ALL {SUPPLIERS}" for name, sql in BEGINNING.items()}
# One parameter for all the numbers: the statement stays the same, and short, for every length of number.
SLIPS = {
    "sqlite": f"SELECT {_COLUMNS}, '', '' FROM json_each(%s) n CROSS JOIN catalog_part p "
    f"ON p.normalised = n.value {_NAMES} LIMIT %s",
    "postgresql": f"SELECT {_COLUMNS}, '', '' FROM catalog_part p {_NAMES} "
    "WHERE p.normalised = ANY(%s) LIMIT %s",
}


def exact(normalised: str) -> list[Row]:
    """Every brand's part of this number. One statement, like each of these."""
    return _read(EXACT, [normalised])


def beginning(normalised: str, most: int) -> list[Row]:
    """Parts whose number begins like this, in the order of their numbers (the very number first)."""
    return _in_order(_read(BEGINNING, [normalised, normalised + LAST, most]))


def numbered(normalised: str, most: int) -> list[Row]:
    """Those beginning like this, and those that a supplier calls exactly so."""
    return _in_order(_read(NUMBERED, [normalised, normalised + LAST, most, normalised, most]))


def one_slip(normalised: str, most: int) -> list[Row]:
    """Parts whose number is one slip of the finger away; none for a number longer than any label carries."""
    near = one_slip_away(normalised)
    return _read(SLIPS, [a_list(near), most]) if near else []


def _in_order(found: list[Row]) -> list[Row]:
    """The few rows kept, by number: joining the names may have mixed what the index brought in order."""
    return sorted(found, key=lambda row: (row.supplier != "", row.normalised))


def a_list(texts: Iterable[str]) -> Any:
    """Many texts as one parameter: JSON for SQLite, an array for PostgreSQL."""
    return json.dumps(list(texts)) if vendor() == "sqlite" else list(texts)


def _read(statement: dict[str, str], params: list[Any]) -> list[Row]:
    return list(map(Row._make, rows(statement, params)))
