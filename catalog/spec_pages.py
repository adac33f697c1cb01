"""The spec tables a page at a time, by key: a page starts after the last row of the one before.

Rows stand in the order of the index `spec_table`: part type, property, nominal, id. The place of a row in it
is written into the address, and what follows is read in steps, each of them one unbroken stretch of the
index: equals of the nominal, further nominals of the property, further properties of the part type, further
part types. All go in one statement, and a page costs the same wherever it lies, and backwards as forwards.
One condition over all steps would not: the database would walk from the start of the part type to the place.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connections
from django.db.models import QuerySet

from catalog.models import Spec
from shop.rules.errors import Refused

ORDER = ("part_type_id", "property_id", "nominal", "id")
LARGEST_ID = 2**63 - 1


@dataclass(frozen=True)
class Place:
    """Where a row stands in the order. Nominal is None for a row without one."""

    part_type: int
    property: int
    nominal: Decimal | None
    id: int

    @classmethod
    def of(cls, row: Spec) -> "Place":
        return cls(row.part_type_id, row.property_id, row.nominal, row.pk)

    @classmethod
    def read(cls, text: str) -> "Place":
        """What str() wrote. Refused for anything else."""
        try:
            kind, of, nominal, number = text.split("_")
            value = Decimal(nominal) if nominal != "none" else None
            ids = [int(one) for one in (kind, of, number) if one.isascii() and one.isdecimal()]
            if len(ids) != 3 or max(ids) > LARGEST_ID or not _storable(value):
                raise ValueError(text)
        except (ValueError, InvalidOperation):
            raise Refused.single(
                "place", "it is not a place in the table", "take it from the links below the table"
            ) from None
        return cls(ids[0], ids[1], value, ids[2])

    def __str__(self) -> str:
        nominal = "none" if self.nominal is None else f"{self.nominal:f}"
        return f"{self.part_type}_{self.property}_{nominal}_{self.id}"


def _storable(value: Decimal | None) -> bool:
    if value is None:
        return True
    exponent = value.as_tuple().exponent
    return isinstance(exponent, int) and exponent >= -6 and value.adjusted() < 12


@dataclass(frozen=True)
class Page:
    """Rows with the places the neighbouring pages start from, as text; "" where there is no such page."""

    rows: tuple[Spec, ...]
    before: str
    after: str


def first_page(rows: QuerySet[Spec], count: int) -> Page:
    found = list(_ids(rows, ORDER)[: count + 1])
    return _page(rows, found[:count], before=False, after=len(found) > count)


def page_after(rows: QuerySet[Spec], place: Place, count: int) -> Page:
    """The page that starts after `place`; empty beyond the end."""
    found = _walk(rows, place, count + 1, back=False)
    return _page(rows, found[:count], before=True, after=len(found) > count)


def page_before(rows: QuerySet[Spec], place: Place, count: int) -> Page:
    """The page that ends before `place`; the first page where less than a page lies before it."""
    found = _walk(rows, place, count + 1, back=True)
    if len(found) <= count:
        return first_page(rows, count)
    return _page(rows, found[count - 1 :: -1], before=True, after=True)


def _page(rows: QuerySet[Spec], ids: list[int], *, before: bool, after: bool) -> Page:
    of = rows.in_bulk(ids)
    found = tuple(of[one] for one in ids if one in of)
    return Page(
        found,
        str(Place.of(found[0])) if before and found else "",
        str(Place.of(found[-1])) if after and found else "",
    )


def _ids(rows: QuerySet[Spec], order: Sequence[str]) -> QuerySet[Spec, int]:
    """Keys alone, from the index: joined to other tables, a planner may sort all rows to give fifty."""
    return rows.order_by(*order).values_list("pk", flat=True)


def _walk(rows: QuerySet[Spec], place: Place, count: int, *, back: bool) -> list[int]:
    """At most `count` keys beyond the place, all stretches asked for in one statement.

    What `rows` are filtered by is put into SQL once; each stretch adds its conditions to that.
    """
    connection = connections[rows.db]
    try:
        asked, given = rows.order_by().values_list("pk").query.get_compiler(rows.db).as_sql()
    except EmptyResultSet:
        return []
    asked += " AND " if rows.query.where else " WHERE "
    order = ", ".join(f"{COLUMN}.{name} {'DESC' if back else 'ASC'}" for name in ORDER)
    parts: list[str] = []
    params: list[Any] = []
    for number, step in enumerate(_steps(place, back, connection.features.order_by_nulls_first)):
        terms = [f"{COLUMN}.{field} {AS_SQL[how]}" for field, how, _ in step]
        stretch = f"{asked}{' AND '.join(terms)} ORDER BY {order} LIMIT {count}"
        parts.append(f"SELECT {number} AS step, stretch.* FROM ({stretch}) stretch")
        params += [*given, *(_sent(value, connection) for _, how, value in step if "%s" in AS_SQL[how])]
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(parts), params)
        # Each stretch comes in its own order; nothing promises the order of the stretches.
        found = sorted(cursor.fetchall(), key=lambda row: row[0])
    return [key for _, key in found[:count]]


def _sent(value: int | Decimal, connection: Any) -> Any:
    return connection.ops.adapt_decimalfield_value(value, 18, 6) if isinstance(value, Decimal) else value


Step = list[tuple[str, str, Any]]
"""Conditions on columns of the index: (column, how, value)."""
COLUMN = Spec._meta.db_table
AS_SQL = {"is": "= %s", "gt": "> %s", "lt": "< %s", "empty": "IS NULL", "given": "IS NOT NULL"}


def _steps(place: Place, back: bool, nulls_first: bool) -> Iterator[Step]:
    """The stretches of the index beyond a place, nearest first. Turned round, empty nominals change ends."""
    beyond = "lt" if back else "gt"
    kind = ("part_type_id", "is", place.part_type)
    of = [kind, ("property_id", "is", place.property)]
    empty_ahead = nulls_first == back
    if place.nominal is None:
        yield [*of, ("nominal", "empty", None), ("id", beyond, place.id)]
        if not empty_ahead:
            yield [*of, ("nominal", "given", None)]
    else:
        yield [*of, ("nominal", "is", place.nominal), ("id", beyond, place.id)]
        yield [*of, ("nominal", beyond, place.nominal)]
        if empty_ahead:
            yield [*of, ("nominal", "empty", None)]
    yield [kind, ("property_id", beyond, place.property)]
    yield [("part_type_id", beyond, place.part_type)]
