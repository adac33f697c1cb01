"""The datapackage.json of a pack, written from the same declarations that the importer reads by.

Data Package, Tabular Data Resource and Table Schema: https://specs.frictionlessdata.io (version 1).
"""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from catalog.packs.columns import Column, columns, key_columns, refs
from catalog.packs.resources import RESOURCES

UNSAID: tuple[Any, ...] = (None, "", [], False)


def descriptor(
    name: str,
    title: str,
    present_resources: Iterable[str],
    *,
    version: str = "1.0.0",
    demonstration: bool = False,
) -> dict[str, Any]:
    """The content of datapackage.json for a pack that holds these resources, each in NAME.csv."""
    present = set(present_resources)
    unknown = present - {resource.name for resource in RESOURCES}
    if unknown:
        raise ValueError(f"no such resource: {', '.join(sorted(unknown))}")
    return {
        "name": name,
        "title": title,
        "version": version,
        "profile": "tabular-data-package",
        **({"demonstration": True} if demonstration else {}),
        "resources": [
            {
                "name": resource.name,
                "path": f"{resource.name}.csv",
                "profile": "tabular-data-resource",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "schema": table_schema(resource.name, present),
            }
            for resource in RESOURCES
            if resource.name in present
        ],
    }


def table_schema(name: str, present: set[str]) -> dict[str, Any]:
    """The Table Schema of one resource.

    A foreign key is written only where its table is in the pack and Table Schema can express it: not where
    the family is always given and the code within it may be empty.
    """
    own = columns(name)
    schema: dict[str, Any] = {"fields": [_field(column) for column in own.values()]}
    key = tuple(dict.fromkeys(key_columns(name)))
    if all(own[column].required for column in key):
        schema["primaryKey"] = list(key)
    foreign = [
        {
            "fields": list(ref.columns),
            "reference": {
                "resource": "" if ref.target == name else ref.target,
                "fields": list(key_columns(ref.target)),
            },
        }
        for ref in refs(name)
        if ref.target in present and (not ref.context or all(own[column].required for column in ref.own))
    ]
    return {**schema, **({"foreignKeys": foreign} if foreign else {})}


def _field(column: Column) -> dict[str, Any]:
    bounded = column.type in ("integer", "number")
    constraints: dict[str, Any] = {
        "required": column.required,
        "maxLength": None if column.choices else column.longest,
        "pattern": column.pattern,
        "enum": list(column.choices),
        "minimum": _written(column.low) if bounded else None,
        "maximum": _written(column.high) if bounded else None,
    }
    field = {
        "name": column.name,
        "type": column.type,
        "format": "email" if column.rule == "email" else None,
        "description": column.description,
        "constraints": {name: value for name, value in constraints.items() if value not in UNSAID},
    }
    return {name: value for name, value in field.items() if value}


def _written(value: Decimal | None) -> str | None:
    """Limits are written as text, which Table Schema allows: a JSON number would be read as a float."""
    return None if value is None else str(value)
