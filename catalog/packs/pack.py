"""A pack in memory: its tables, rows and typed values."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cache

from catalog.packs.columns import refs
from catalog.packs.declare import Ref, Resource
from catalog.packs.resources import BY_NAME
from catalog.rules.partnumber import normalise

Value = str | int | Decimal | date | bool | None
Values = Mapping[str, Value]
Key = tuple[Value, ...]


@dataclass(slots=True)
class Row:
    """`number` is the row as a spreadsheet counts it; `bad` are the columns that could not be read."""

    number: int
    values: dict[str, Value]
    bad: set[str] = field(default_factory=set)


@dataclass(slots=True)
class Table:
    resource: Resource
    file: str
    rows: list[Row] = field(default_factory=list)


@dataclass(slots=True)
class Pack:
    name: str
    title: str
    demonstration: bool
    tables: dict[str, Table] = field(default_factory=dict)


def names_nothing(ref: Ref, values: Values) -> bool:
    get = values.get
    for column in ref.own:  # noqa: SIM110  asked some times for every row
        if get(column) is not None:
            return False
    return True


def ref_key(ref: Ref, values: Values) -> Key | None:
    """The key of the row that these columns name; None where they are empty."""
    if names_nothing(ref, values):
        return None
    get = values.get
    return tuple([get(column) for column in ref.columns])


def key_of(name: str, values: Values) -> Key:
    """What the row is recognised by. Part numbers are compared normalised."""
    if name == "parts":
        return (values["brand"], normalise(str(values["number"])))
    key: list[Value] = []
    for ref, column in _key_parts(name):
        if ref is None:
            key.append(values.get(column))
        else:
            key.extend(ref_key(ref, values) or (None,) * len(ref.columns))
    return tuple(key)


@cache
def _key_parts(name: str) -> tuple[tuple[Ref | None, str], ...]:
    of_field = {ref.field: ref for ref in refs(name)}
    return tuple((of_field.get(field), field) for field in BY_NAME[name].key.split())
