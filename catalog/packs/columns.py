"""The columns of each table of a pack, worked out from `resources` and the models' fields."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models

from catalog.packs.declare import Col, Ref, Resource
from catalog.packs.resources import BY_NAME

# What every supported database holds. SQLite keeps decimals as binary numbers: 15 digits come back exact.
INTEGERS = {"PositiveSmallIntegerField": 32_767, "PositiveIntegerField": 2_147_483_647}
EXACT_DIGITS = 15
LONGEST_TEXT = 10_000


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its Table Schema `type` (string, integer, number, date, boolean) and what it may hold.

    `paths` lead from the row's model to the value in the database: the first that finds one. `currency` leads
    to the currency of an amount.
    """

    name: str
    type: str
    paths: tuple[str, ...]
    required: bool
    description: str = ""
    longest: int | None = None
    pattern: str = ""
    pattern_says: str = ""
    choices: tuple[str, ...] = ()
    low: Decimal | None = None
    high: Decimal | None = None
    digits: int = EXACT_DIGITS
    places: int = 0
    rule: str = ""
    refers: bool = False
    currency: str = ""


@cache
def columns(name: str) -> dict[str, Column]:
    """The columns of the resource in the order in which they are written, by name."""
    resource = BY_NAME[name]
    found: dict[str, Column] = {}
    for column in _listed(resource):
        known = found.setdefault(column.name, column)
        if column is not known and _may_lead_nowhere(resource, known):
            found[column.name] = replace(known, paths=(*known.paths, *column.paths))
    return found


def _may_lead_nowhere(resource: Resource, column: Column) -> bool:
    """Whether another path is needed beside the first: operation and step both lead to a family."""
    return bool(resource.model._meta.get_field(column.paths[0].partition("__")[0]).null)


@cache
def refs(name: str) -> tuple[Ref, ...]:
    return tuple(item for item in BY_NAME[name].items if isinstance(item, Ref))


@cache
def key_columns(name: str) -> tuple[str, ...]:
    """The columns that name a row. A column may stand twice (operation and step both within the family)."""
    return tuple(column for field in BY_NAME[name].key.split() for column in columns_of(name, field))


@cache
def key_paths(name: str) -> tuple[str, ...]:
    """Where the database holds what stands in `key_columns`."""
    return tuple(path for field in BY_NAME[name].key.split() for path in paths_of(name, field))


def columns_of(name: str, field: str) -> tuple[str, ...]:
    """The columns that make up one field: several for a reference."""
    return next((item.columns for item in refs(name) if item.field == field), (field,))


def paths_of(name: str, field: str) -> tuple[str, ...]:
    for item in refs(name):
        if item.field == field:
            return tuple(f"{field}__{path}" for path in key_paths(item.target))
    own = next(item for item in BY_NAME[name].items if field in (item, getattr(item, "field", "")))
    return ("normalised" if isinstance(own, Col) and own.rule == "part number" else field,)


def _listed(resource: Resource) -> Iterator[Column]:
    for item in resource.items:
        if isinstance(item, Ref):
            yield from _ref_columns(resource, item)
        else:
            yield _plain(resource.model, item if isinstance(item, Col) else Col(item))


def _ref_columns(resource: Resource, item: Ref) -> Iterator[Column]:
    if not item.field:
        return
    optional = resource.model._meta.get_field(item.field).null
    target = BY_NAME[item.target]
    for name, target_name, path in zip(
        item.columns, key_columns(target.name), key_paths(target.name), strict=True
    ):
        yield replace(
            _key_column(target, target_name),
            name=name,
            paths=(f"{item.field}__{path}",),
            required=name in item.context or not optional,
            description=f"{target_name} in {target.name}",
            refers=True,
        )


def _key_column(target: Resource, name: str) -> Column:
    # Stops as soon as it is found: a table that refers to itself lists its key before that reference.
    return next(column for column in _listed(target) if column.name == name)


def _plain(model: type[models.Model], item: Col) -> Column:
    field = model._meta.get_field(item.field)
    assert isinstance(field, models.Field)
    column = Column(
        name=item.field,
        type="string",
        paths=(item.field,),
        required=not (field.null or field.blank),
        description=str(field.help_text),
        choices=tuple(str(value) for value, _ in field.choices or ()),
        low=item.low,
        high=item.high,
        rule=item.rule,
        currency=item.currency,
    )
    for validator in field.validators:
        if isinstance(validator, MinValueValidator):
            column = replace(column, low=_narrower(max, validator.limit_value, column.low))
        elif isinstance(validator, MaxValueValidator):
            column = replace(column, high=_narrower(min, validator.limit_value, column.high))
        elif isinstance(validator, RegexValidator):
            pattern = getattr(validator.regex, "pattern", "")
            column = replace(column, pattern=pattern, pattern_says=str(validator.message))
    return _typed(field, column)


def _narrower(pick: Callable[[Decimal, Decimal], Decimal], limit: Any, own: Decimal | None) -> Decimal:
    return Decimal(limit) if own is None else pick(Decimal(limit), own)


def _typed(field: "models.Field[Any, Any]", column: Column) -> Column:
    match field:
        case models.DecimalField():
            digits = min(field.max_digits, EXACT_DIGITS)
            return replace(column, type="number", digits=digits, places=field.decimal_places)
        case models.IntegerField():
            most = INTEGERS[field.get_internal_type()]
            return replace(
                column,
                type="integer",
                low=_narrower(max, 0, column.low),
                high=_narrower(min, most, column.high),
            )
        case models.DateField():
            return replace(column, type="date")
        case models.BooleanField():
            return replace(column, type="boolean")
        case _:
            return replace(column, longest=field.max_length or LONGEST_TEXT)
