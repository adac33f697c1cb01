"""Lists as CSV (RFC 4180) in UTF-8: a header row, then a record for each row of the page.

A member that is an object becomes a column for each of its own members, "part.brand" and "part.number". A
list of plain values becomes one cell with "; " between them; a list of objects, or an object whose members
are not fixed, becomes one cell of JSON. null and empty text are both an empty cell. `fields` chooses the
columns and their order; the following page is in the Link header.

What a spreadsheet would take for a formula is kept from being one: see shop.rules.csv_text.
"""

import csv
import io
import json
from collections.abc import Iterator, Mapping
from typing import Any

from rest_framework import serializers
from rest_framework.renderers import BaseRenderer

from shop.rules.csv_text import unexecuted


class CsvRenderer(BaseRenderer):
    """For lists whose view has a serializer: its members are the columns, even where there are no rows."""

    media_type = "text/csv"
    format = "csv"
    charset = "utf-8"

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> bytes:
        names = list(columns(renderer_context["view"].get_serializer()))
        text = io.StringIO(newline="")
        writer = csv.writer(text)
        writer.writerow(names)
        writer.writerows([cell(_value(row, name)) for name in names] for row in data["results"])
        return text.getvalue().encode()


def columns(serializer: Any, before: str = "") -> Iterator[str]:
    for name, field in serializer.fields.items():
        inside = _inside(field)
        if inside is None:
            yield before + name
        else:
            yield from columns(inside, f"{before}{name}.")


def _inside(field: Any) -> serializers.Serializer | None:
    """The serializer of a member that is one object, None of any other member."""
    if isinstance(field, serializers.SerializerMethodField):
        method = getattr(field.parent, str(field.method_name))
        stated = getattr(method, "_spectacular_annotation", {}).get("field")
        field = stated() if isinstance(stated, type) else stated
    return field if isinstance(field, serializers.Serializer) else None


def _value(row: Any, name: str) -> Any:
    for part in name.split("."):
        if not isinstance(row, Mapping):
            return None
        row = row.get(part)
    return row


def cell(value: Any) -> str:
    """One value as the text of a cell."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple) and not any(isinstance(one, Mapping | list | tuple) for one in value):
        value = "; ".join("" if one is None else str(one) for one in value)
    elif isinstance(value, Mapping | list | tuple):
        value = json.dumps(value, ensure_ascii=False, default=str) if value else ""
    return unexecuted(str(value))
