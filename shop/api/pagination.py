"""Pages by key: each page starts after the last row of the one before, however deep it lies.

The view states `page_key`, the columns that order its rows; together they are unique, and an index holds
them, so that a page costs the same at row 50 and at row 500,000. Where other tables are joined to the rows,
the keys of a page are read first and its rows after. There is no count and no page number. How another order
is asked for is in shop.api.ordering. The cursor is opaque to clients: a place in one order of one list. It
may be used with other filters and with another limit, and not with another order.
"""

import json
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Field, QuerySet
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

from shop.api.ordering import PARAMETER, Order, asked_order, following, ordered, own_order
from shop.api.problems import BadRequest

DEFAULT_LIMIT = 50
MOST = 500


class KeyPagination(BasePagination):
    parameters: tuple[str, ...] = ("limit", "cursor", PARAMETER)

    def paginate_queryset(self, queryset: Any, request: Request, view: Any = None) -> list[Any]:
        self.request = request
        asked = request.query_params.get(PARAMETER, "")
        order = _order(asked, queryset.model, request, view)
        limit = _limit(request.query_params.get("limit"))
        in_order = ordered(queryset, order)
        if (cursor := request.query_params.get("cursor")) is not None:
            in_order = following(in_order, order, _read(cursor, asked, order))
        if not queryset.query.select_related:
            rows = list(in_order[: limit + 1])
            places = [[getattr(row, one.name) for one in order] for row in rows[limit - 1 :]]
            found = rows[:limit]
        else:
            keys = list(in_order.values_list("pk", *(one.name for one in order))[: limit + 1])
            places = [key[1:] for key in keys[limit - 1 :]]
            found = _rows(queryset, [key[0] for key in keys[:limit]])
        self.following = _write(places[0], asked) if len(places) > 1 else None
        return found

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
        parameters: list[dict[str, Any]] = [
            {
                "name": "limit",
                "in": "query",
                "description": "rows a page",
                "schema": {"type": "integer", "minimum": 1, "maximum": MOST, "default": DEFAULT_LIMIT},
            },
            {
                "name": "cursor",
                "in": "query",
                "description": f"where the page starts: take it from `next`, with the same `{PARAMETER}`",
                "schema": {"type": "string", "pattern": "^[A-Za-z0-9_-]+$"},
            },
        ]
        orders = getattr(view, "orders", {})
        if orders:
            names = [sign + name for name in orders for sign in ("", "-")]
            parameters.append(
                {
                    "name": PARAMETER,
                    "in": "query",
                    "description": _words(view.order_within),
                    "schema": {
                        "type": "array",
                        "items": {"type": "string", "enum": names},
                        "minItems": 1,
                        "uniqueItems": True,
                    },
                    "style": "form",
                    "explode": False,
                }
            )
        return parameters


def _words(within: tuple[str, ...]) -> str:
    words = (
        "the most important first; a minus turns one round, and rows without a value come last in any case. "
        "Without it the list has its own order, the same each time and the fastest"
    )
    if not within:
        return words
    return f"{words}. Needs one of {', '.join(within)} beside it, to have few enough rows to sort"


def _order(asked: str, model: Any, request: Request, view: Any) -> Order:
    key = view.page_key
    if not asked:
        return own_order(model, key)
    orders, within = getattr(view, "orders", {}), getattr(view, "order_within", ())
    if not orders:
        raise BadRequest.single(
            f"query parameter {PARAMETER}", "this list has only its own order", "leave it out"
        )
    order = asked_order(asked, model, orders, key)
    if within and not any(name in request.query_params for name in within):
        raise BadRequest.refused(
            f"query parameter {PARAMETER}",
            "this list is too long to be sorted whole",
            f"give one of {', '.join(within)} as well",
        )
    return order


def _limit(text: str | None) -> int:
    if text is None:
        return DEFAULT_LIMIT
    if not (text.isascii() and text.isdecimal() and len(text) <= 9 and 1 <= int(text) <= MOST):
        raise BadRequest.single(
            "query parameter limit", f"'{text}' is not a number of rows a page", f"give 1 to {MOST}"
        )
    return int(text)


def _rows(queryset: QuerySet, keys: Sequence[Any]) -> list[Any]:
    """These rows with all that is joined to them. In one statement with the order and the limit, a planner
    may join every row there is before it sorts them and gives fifty."""
    of = queryset.order_by().in_bulk(keys)
    return [of[key] for key in keys if key in of]


def _write(values: Iterable[Any], asked: str) -> str:
    place = [asked, *(None if value is None else str(value) for value in values)]
    text = json.dumps(place, separators=(",", ":"))
    return urlsafe_b64encode(text.encode()).decode().rstrip("=")


def _read(cursor: str, asked: str, order: Order) -> list[Any]:
    where = "query parameter cursor"
    try:
        place = json.loads(urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))
        if not isinstance(place, list) or not place or not isinstance(place[0], str):
            raise ValueError("not a place")
    except (ValueError, RecursionError) as error:
        raise BadRequest.refused(
            where, "it is not a place in this list", "take it from `next` of a page"
        ) from error
    if place[0] != asked:
        told = f"{PARAMETER}={place[0]}" if place[0] else f"no {PARAMETER}"
        raise BadRequest.refused(
            where, "it is a place in another order", f"give {told} with it, or start again without a cursor"
        )
    try:
        return [_value(text, one.field, one.nullable) for text, one in zip(place[1:], order, strict=True)]
    except (ValueError, ValidationError, ArithmeticError) as error:
        raise BadRequest.refused(
            where, "it is not a place in this list", "take it from `next` of a page"
        ) from error


def _value(text: Any, field: Field, nullable: bool) -> Any:
    if text is None and nullable:
        return None
    if not isinstance(text, str) or "\x00" in text:
        raise ValueError("not a value")
    field = getattr(field, "target_field", field)
    value = field.to_python(text)
    field.run_validators(value)  # a number beyond what the column holds never reaches the database
    return value
