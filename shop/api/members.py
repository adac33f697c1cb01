"""`fields=number,brand`: only these members of each row, in this order.

What only other members need is not fetched either: a table joined to the rows, or read beside them, is left
out where no member left comes from it.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.db.models import Prefetch, QuerySet
from rest_framework import serializers
from rest_framework.request import Request

from shop.api.problems import BadRequest

PARAMETER = "fields"


def asked_members(request: Request, known: Sequence[str]) -> list[str] | None:
    """The members named in the query, None where it names none. Raises BadRequest with unknown ones."""
    text = request.query_params.get(PARAMETER)
    if text is None:
        return None
    names = text.split(",")
    where = f"query parameter {PARAMETER}"
    if unknown := [name for name in names if name not in known]:
        raise BadRequest.single(
            where,
            f"a row has no {', '.join(map(repr, unknown))}",
            f"give some of {', '.join(known)}, with a comma between them",
        )
    if len(set(names)) < len(names):
        raise BadRequest.single(where, "it names a member twice", "name each once")
    return names


def narrow(serializer: Any, members: Iterable[str]) -> None:
    """Leaves a serializer these members, in this order."""
    row = getattr(serializer, "child", serializer)
    row.fields.fields = {name: row.fields[name] for name in members}


def narrow_rows(rows: QuerySet, serializer: Any, reads: Mapping[str, Sequence[str]]) -> QuerySet:
    """The rows without the joins and the rows beside them that no member of the serializer needs.

    A member computed by a method reads the relation of its own name, and those that `reads` names for it.
    """
    used = {relation for name, field in serializer.fields.items() for relation in _relations(name, field)}
    used |= {relation for name in serializer.fields for relation in reads.get(name, ())}
    joined = [path for path in _paths(rows.query.select_related) if path.partition("__")[0] in used]
    beside = [one for one in rows._prefetch_related_lookups if _first(one) in used]  # type: ignore[attr-defined]
    rows = rows.select_related(None).prefetch_related(None)
    # Without arguments, select_related would follow every relation there is.
    return (rows.select_related(*joined) if joined else rows).prefetch_related(*beside)


def _relations(name: str, field: serializers.Field) -> Iterator[str]:
    yield name
    yield str(field.source or name).partition(".")[0]
    yield str(getattr(field, "currency", "")).partition(".")[0]


def _first(lookup: str | Prefetch) -> str:
    path = lookup if isinstance(lookup, str) else lookup.prefetch_through
    return str(path).partition("__")[0]


def _paths(joined: Any, before: str = "") -> Iterator[str]:
    """The select_related of a query, {"part": {"brand": {}}}, as "part", "part__brand"."""
    if not isinstance(joined, dict):
        return
    for name, inside in joined.items():
        yield before + name
        yield from _paths(inside, f"{before}{name}__")
