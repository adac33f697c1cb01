"""What the database holds of the rows that a pack names, in the pack's own terms.

One statement for each table, however many rows: a table is asked for the rows whose key may be among those
wanted, or for all of them where the pack names very many.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import QuerySet

from catalog.packs.columns import columns, key_columns, key_paths, refs
from catalog.packs.declare import Resource
from catalog.packs.pack import Key, Pack, Value, Values, key_of, ref_key
from catalog.packs.resources import BY_NAME, RESOURCES

# Each value is one parameter of the statement: SQLite takes 32,766 of them, PostgreSQL 65,535.
MOST_VALUES = 5_000


@dataclass(frozen=True, slots=True)
class HeldRow:
    pk: int
    values: Values


Held = dict[str, dict[Key, HeldRow]]


def held_rows(pack: Pack) -> Held:
    """For every table: the rows with a key that the pack gives or refers to, and those they refer to."""
    wanted: dict[str, set[Key]] = defaultdict(set)
    families: set[Value] = set()
    for name, table in pack.tables.items():
        for row in table.rows:
            if not row.bad:
                wanted[name].add(key_of(name, row.values))
                families.add(row.values.get("family"))
            _want_referred(wanted, name, row.values)
    families |= {key[0] for key in wanted["engine_families"]}
    held: Held = {}
    # Backwards, so that what a held row refers to is known before its table is asked.
    for resource in reversed(RESOURCES):
        keys = wanted[resource.name]
        reach = resource.reach if resource.name in pack.tables or resource.name == "positions" else ""
        found = dict(_fetch(resource, keys, reach, families - {None}))
        for key in keys & found.keys():
            _want_referred(wanted, resource.name, found[key].values)
        held[resource.name] = found
    return held


def _want_referred(wanted: dict[str, set[Key]], name: str, values: Values) -> None:
    for ref in refs(name):
        key = ref_key(ref, values)
        if key is not None and None not in key:
            wanted[ref.target].add(key)


def _fetch(
    resource: Resource, keys: Collection[Key], reach: str, families: Collection[Value]
) -> Iterator[tuple[Key, HeldRow]]:
    if not keys and not (reach == "family" and families):
        return
    rows: QuerySet[Any] = resource.model._default_manager.order_by()
    paths = key_paths(resource.name)
    if reach == "family" and len(families) <= MOST_VALUES:
        rows = rows.filter(**{f"{paths[0]}__in": families})
    elif not reach:
        for path, values in zip(paths, zip(*keys, strict=True), strict=True):
            distinct = set(values)
            if None not in distinct and len(distinct) <= MOST_VALUES:
                rows = rows.filter(**{f"{path}__in": distinct})
    yield from _in_pack_terms(resource, rows)


def _in_pack_terms(resource: Resource, rows: QuerySet[Any]) -> Iterator[tuple[Key, HeldRow]]:
    read = _read_paths(resource.name)
    width = len(key_paths(resource.name))
    for pk, *found in rows.values_list(
        "pk", *key_paths(resource.name), *(path for _, path in read)
    ).iterator():
        values: dict[str, Value] = {}
        for (column, _), value in zip(read, found[width:], strict=True):
            if values.get(column) is None:
                values[column] = value
        yield tuple(found[:width]), HeldRow(pk, values)


@cache
def _read_paths(name: str) -> tuple[tuple[str, str], ...]:
    own = tuple((column.name, path) for column in columns(name).values() for path in column.paths)
    return (*own, ("places", "places")) if BY_NAME[name].places else own


def named_alike(name: str, start: Key, most: int) -> Iterable[str]:
    """How rows of the table whose key begins with `start` are named by the rest: for "did you mean"."""
    column = columns(name)[key_columns(name)[-1]]
    above = dict(zip(key_paths(name), start, strict=False))
    rows = BY_NAME[name].model._default_manager.filter(**above).order_by()
    return [str(value) for value in rows.values_list(column.paths[0], flat=True)[:most]]
