"""Pages by key: each page starts after the last row of the one before, however deep it lies.

The view states `page_key`, the columns that order its rows; the last of them is unique, and an index holds
them, so that a page costs the same at row 50 and at row 500,000. There is no count and no page number. The
cursor is opaque to clients and may be used with other filters: it is only a place in the order.
"""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import connections
from django.db.models import Field, Q
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from shop.api.problems import BadRequest

DEFAULT_LIMIT = 50
MOST = 500


class KeyPagination(BasePagination):
    parameters = ("limit", "cursor")

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        self.request = request
        self.key: Sequence[str] = view.page_key
        fields = [queryset.model._meta.get_field(name) for name in self.key]
        limit = _limit(request.query_params.get("limit"))
        if (cursor := request.query_params.get("cursor")) is not None:
            nulls_first = connections[queryset.db].features.order_by_nulls_first
            place = list(zip(fields, _read(cursor, fields), strict=True))
            queryset = queryset.filter(after(place, nulls_first))
        rows = list(queryset.order_by(*self.key)[: limit + 1])
        self.following = _write(rows[limit - 1], fields) if len(rows) > limit else None
        return rows[:limit]

    def get_paginated_response(self, data: Any) -> Response:
        following = None
        headers = {}
        if self.following:
            following = replace_query_param(self.request.build_absolute_uri(), "cursor", self.following)
            headers["Link"] = f'<{following}>; rel="next"'  # RFC 8288
        return Response({"results": data, "next": following}, headers=headers)

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "object",
            "required": ["results", "next"],
            "properties": {
                "results": schema,
                "next": {
                    "type": ["string", "null"],
                    "format": "uri",
                    "description": "the address of the following page; null on the last",
                },
            },
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        return [
            {
                "name": "limit",
                "in": "query",
                "description": "rows a page",
                "schema": {"type": "integer", "minimum": 1, "maximum": MOST, "default": DEFAULT_LIMIT},
            },
            {
                "name": "cursor",
                "in": "query",
                "description": "where the page starts: take it from `next`",
                "schema": {"type": "string"},
            },
        ]


def after(place: Sequence[tuple[Field, Any]], nulls_first: bool) -> Q:
    """The rows that follow a place in ascending order; where empty values sort is the database's habit."""
    (field, value), rest = place[0], place[1:]
    name = field.attname
    if value is None:
        equal = Q(**{f"{name}__isnull": True})
        beyond = Q(**{f"{name}__isnull": False}) if nulls_first else Q(pk__in=[])
    else:
        equal, beyond = Q(**{name: value}), Q(**{f"{name}__gt": value})
        if field.null and not nulls_first:
            beyond |= Q(**{f"{name}__isnull": True})
    if not rest:
        return beyond
    following = beyond | (equal & after(rest, nulls_first))
    if field.null:
        return following
    # Says nothing new, but lets an index on the first column skip what lies before.
    return Q(**{f"{name}__gte": value}) & following


def _limit(text: str | None) -> int:
    if text is None:
        return DEFAULT_LIMIT
    if not (text.isascii() and text.isdecimal() and len(text) <= 9 and 1 <= int(text) <= MOST):
        raise BadRequest.single(
            "query parameter limit", f"'{text}' is not a number of rows a page", f"give 1 to {MOST}"
        )
    return int(text)


def _write(row: Any, fields: Sequence[Field]) -> str:
    values = [getattr(row, field.attname) for field in fields]
    text = json.dumps([None if value is None else str(value) for value in values], separators=(",", ":"))
    return urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _read(cursor: str, fields: Sequence[Field]) -> list[Any]:
    try:
        texts = json.loads(urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
        if not isinstance(texts, list):
            raise ValueError("not a list")
        return [_value(text, field) for text, field in zip(texts, fields, strict=True)]
    except (ValueError, ValidationError, ArithmeticError, RecursionError) as error:
        raise BadRequest.single(
            "query parameter cursor", "it is not a place in this list", "take it from `next` of a page"
        ) from error


def _value(text: Any, field: Field) -> Any:
    if text is None and field.null:
        return None
    if not isinstance(text, str) or "\x00" in text:
        raise ValueError("not a value")
    field = getattr(field, "target_field", field)
    value = field.to_python(text)
    field.run_validators(value)  # a number beyond what the column holds never reaches the database
    return value
