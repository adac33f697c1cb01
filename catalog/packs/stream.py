"""The rows of one table as the cells of a pack, one after the other, in the order of their natural keys.

The order is that of the characters' code points in every database, whatever language it sorts by.
"""

from collections.abc import Iterator
from typing import Any

from django.db import connections
from django.db.models import F, QuerySet
from django.db.models.expressions import OrderBy
from django.db.models.functions import Coalesce, Collate

from catalog.packs.columns import columns, key_columns
from catalog.packs.declare import Resource
from catalog.packs.extent import PART_OF, Extent, family_paths, referred_only
from catalog.packs.faults import LISTED, Faults, Wrong
from catalog.packs.written import Record, cell_writer

CHUNK = 2_000


def rows_of(resource: Resource, extent: Extent | None) -> QuerySet[Any]:
    """The rows in order; of some families with what belongs to them, or all."""
    rows: QuerySet[Any] = resource.model._default_manager.all()
    rows = rows.order_by(*_order(resource.name, connections[rows.db].vendor))
    return rows if extent is None else extent.narrowed(resource.name, rows)


def cells_of(resource: Resource, extent: Extent | None, faults: Faults) -> Iterator[list[str]]:
    """The cells of each row. What an import could not read again is told, up to what is listed."""
    name = resource.name
    place: dict[str, int] = {}

    def at(path: str) -> int:
        return place.setdefault(path, len(place))

    pk, part = at("id"), at(PART_OF.get(name, "id"))
    families = [at(path) for path in family_paths(name)]
    named = [(target, at(field)) for target, field in referred_only(name)]
    writers = {
        column.name: cell_writer(column, at, resource.places.split()) for column in columns(name).values()
    }
    for record in rows_of(resource, extent).values_list(*place).iterator(chunk_size=CHUNK):
        if extent is not None:
            family = next((record[index] for index in families if record[index] is not None), None)
            if not extent.takes(name, record[pk], record[part], family):
                continue
            extent.want((target, record[index]) for target, index in named)
        try:
            yield [write(record) for write in writers.values()]
        except Wrong:
            _tell(resource, record, writers, faults)
            if len(faults.found) > LISTED:
                return


def _tell(resource: Resource, record: Record, writers: dict[str, Any], faults: Faults) -> None:
    written: dict[str, str] = {}
    wrong: list[tuple[str, Wrong]] = []
    for column, write in writers.items():
        try:
            written[column] = write(record)
        except Wrong as told:
            wrong.append((column, told))
    key = [
        f"{column} {written[column]}"
        for column in dict.fromkeys(key_columns(resource.name))
        if written.get(column)
    ]
    for column, error in wrong:
        what = f"{', '.join(key)}: {error.what}" if key else error.what
        right = f"{error.right}, in the administration"
        faults.of_row(resource, resource.name, 0, column, what, right)


def _order(name: str, vendor: str) -> list[OrderBy]:
    order = []
    for key in dict.fromkeys(key_columns(name)):
        column = columns(name)[key]
        compared = column.rule == "part number" and not column.refers
        paths = ("normalised",) if compared else column.paths
        by: Any = F(paths[0]) if len(paths) == 1 else Coalesce(*paths)
        if column.type == "string" and vendor == "postgresql":
            by = Collate(by, "C")
        order.append(OrderBy(by, nulls_first=True))
    return order
